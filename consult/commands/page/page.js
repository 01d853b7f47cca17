// Makes the page ready before the terminal script starts (that waits for the window's load).
"use strict";

const SMALLEST = 8;
const LARGEST = 48;
const asked = new URLSearchParams(location.search);
const terminal = document.getElementById("terminal");
const body = document.body;

// The terminal script would fetch whatever address "ping" names, and wait for a button on "delay".
if (asked.has("ping") || asked.has("delay")) {
  asked.delete("ping");
  asked.delete("delay");
  history.replaceState(null, "", `${location.pathname}?${asked}`);
}

// Beside this page, whatever the name it was reached by: the server decides which names it takes.
const socket = new URL("ws", location.href);
socket.search = "";
socket.protocol = location.protocol === "https:" ? "wss:" : "ws:";
terminal.dataset.sessionWebsocketUrl = socket.href;

// 16 px, or what lets a phone show a line of 50 letters; ?fontsize=24 is taken at its word.
const wanted = Number.parseInt(asked.get("fontsize"), 10);
const size = Number.isNaN(wanted) ? Math.min(16, innerWidth / 31) : wanted;
terminal.dataset.fontSize = Math.min(LARGEST, Math.max(SMALLEST, Math.floor(size)));

const isOpen = () => body.classList.contains("-first-byte") && !body.classList.contains("-closed");
const keyboard = () => terminal.querySelector("textarea");

// What the terminal draws, in words, for screen readers; ?words=1 shows them to everybody. Lines
// that stay are left alone, so that only new ones are read out.
const regions = document.querySelectorAll("[data-words]");
body.classList.toggle("-words", asked.has("words"));

const say = (words) => {
  for (const region of regions) {
    const lines = words[region.dataset.words] ?? [];
    for (const shown of [...region.children]) {
      if (!lines.includes(shown.textContent)) shown.remove();
    }
    lines.forEach((line, at) => {
      if (region.children[at]?.textContent === line) return;
      const shown = document.createElement("p");
      shown.textContent = line;
      region.insertBefore(shown, region.children[at] ?? null);
    });
    while (region.childElementCount > lines.length) region.lastElementChild.remove();
  }
};

// The terminal script opens the socket and ignores the messages that carry words.
window.WebSocket = class extends WebSocket {
  constructor(...given) {
    super(...given);
    this.addEventListener("message", ({ data }) => {
      const [kind, told] = typeof data === "string" ? JSON.parse(data) : [];
      if (kind === "words") say(told);
    });
  }
};

// The function keys are the call desk's: F5 must not reload, nor F1, F3, F6 and F7 do theirs. Two
// keys stay with the browser, which else would not see them: F11 (full screen) and Ctrl+V (paste).
addEventListener(
  "keydown",
  (event) => {
    if (!isOpen()) return;
    const isCtrl = event.ctrlKey && !event.shiftKey && !event.altKey;
    const letter = event.key.toLowerCase();
    if (event.key === "F11" || (isCtrl && letter === "v")) {
      event.stopImmediatePropagation();
    } else if (/^F\d+$/.test(event.key) || (isCtrl && letter === "p")) {
      event.preventDefault();
    }
  },
  true,
);

// All keys go to the call desk as long as it is there, wherever on the page was clicked.
const focusTerminal = () => isOpen() && keyboard()?.focus();
addEventListener("focus", focusTerminal);
addEventListener("pointerup", focusTerminal);
terminal.addEventListener("focusout", () => setTimeout(focusTerminal));

// A call that cannot begin says why where consult was started, not here.
setTimeout(() => {
  if (body.classList.contains("-first-byte")) return;
  document.getElementById("starting").textContent =
    "No call has begun yet. If none begins, the window where consult serve runs says why.";
}, 15000);

// Closing the tab ends the call here, so the browser asks first; the answers are kept either way.
addEventListener("beforeunload", (event) => {
  if (isOpen()) event.preventDefault();
});

const again = document.getElementById("again");
again.addEventListener("click", () => location.reload());
new MutationObserver(() => {
  if (body.classList.contains("-closed")) {
    say({});
    again.focus();
  } else focusTerminal();
}).observe(body, { attributeFilter: ["class"] });
