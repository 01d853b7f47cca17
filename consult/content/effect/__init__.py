"""The impact of an edit: the same callers run through the old tree and the new one."""

from consult.content.effect.compared import effect
from consult.content.effect.result import Effect, ImpactRow, Lengths, Lost, Sample
from consult.content.effect.told import told

__all__ = ["Effect", "ImpactRow", "Lengths", "Lost", "Sample", "effect", "told"]
