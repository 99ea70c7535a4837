// The page asks the server for everything it shows. Texts reach the page as text nodes only, never as HTML.
"use strict";

const at = (id) => document.getElementById(id);
const seen = new Map(); // phone -> how many messages it had received when last in hand
let inHand = "";
let shown = 0; // messages of that phone already in the thread
let language = ""; // of the farmer whose phone it is
let lastDay = "";
let busy = false;

function element(tag, text = "", className = "") {
  const made = document.createElement(tag);
  if (text) made.textContent = text;
  if (className) made.className = className;
  return made;
}

// One request at a time: there is one clock, and a double press must not send twice.
async function ask(path, body) {
  if (busy) return false;
  setBusy(true);
  try {
    const answer = await fetch(path, body && {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    });
    const state = await answer.json();
    if (!answer.ok) throw new Error(state.error);
    complain("");
    show(state);
    return true;
  } catch (error) {
    const lost = error instanceof TypeError || error instanceof SyntaxError;
    complain(lost ? "The simulator does not answer. Is it still running?" : error.message);
    return false;
  } finally {
    setBusy(false);
  }
}

function setBusy(on) {
  busy = on;
  document.querySelector("main").setAttribute("aria-busy", String(on));
}

function complain(text) {
  at("trouble").hidden = !text;
  at("trouble").textContent = text;
}

function show(state) {
  const before = inHand === state.phone ? shown : null;
  language = state.language;
  showClock(state.clock);
  showPhones(state);
  showThread(state);
  showRecord(state);
  showKnowledge(state.knows);
  at("news").textContent = before === null ? "" : news(state, before);
}

function news(state, before) {
  const fresh = state.messages.slice(Math.max(0, before - state.older)).filter((one) => !one.inbound && !one.state).length;
  const others = state.phones.filter((one) => unread(one) > 0).length;
  const mine = fresh === 1 ? "1 message came." : `${fresh || "No"} messages came.`;
  return others ? `${mine} Other phones have new ones too.` : mine;
}

function showClock(clock) {
  at("day").textContent = clock.day;
  at("clock").textContent = clock.time;
  at("strip-time").textContent = clock.time;
  at("next-due").textContent = clock.next_due ? `Next reminder: ${clock.next_due}` : "No reminder is waiting.";
  at("to-next").disabled = !clock.next_due;
}

const unread = (one) => one.received - (seen.get(one.phone) ?? 0);

function showPhones(state) {
  const mine = state.phones.find((one) => one.phone === state.phone);
  seen.set(mine.phone, mine.received);
  at("phones").replaceChildren(...state.phones.map((one) => {
    const option = element("option", unread(one) > 0 ? `${one.phone} (${unread(one)} new)` : one.phone);
    option.value = one.phone;
    option.selected = one.phone === state.phone;
    return option;
  }));
  at("add").disabled = !state.next_phone;
  at("add").dataset.phone = state.next_phone ?? "";
  at("strip-phone").textContent = state.phone;
}

// Only what is new is added, so that a screen reader does not hear the whole thread again.
function showThread(state) {
  const thread = at("thread");
  if (inHand !== state.phone) {
    thread.replaceChildren();
    inHand = state.phone;
    shown = 0;
    lastDay = "";
  }
  for (const old of thread.querySelectorAll(".fresh")) old.classList.remove("fresh");
  const first = shown === 0;
  if (first) thread.replaceChildren();
  for (const message of state.messages.slice(Math.max(0, shown - state.older))) {
    if (message.state) continue; // it never reached the phone
    if (message.day !== lastDay) thread.append(element("li", message.day, "date"));
    lastDay = message.day;
    thread.append(bubble(message, !first));
  }
  shown = state.older + state.messages.length;
  if (!shown) thread.append(element("li", "No messages yet. Write JOIN and press Send.", "empty"));
  thread.scrollTop = thread.scrollHeight;
}

function bubble(message, fresh) {
  const item = element("li", "", `text${message.inbound ? " mine" : ""}${fresh ? " fresh" : ""}`);
  item.append(element("span", message.inbound ? "Farmer: " : "Warmheap: ", "unseen"), words(message, "span"));
  return item;
}

function words(message, tag) {
  const made = element(tag, message.text, "words");
  made.dir = "auto";
  made.lang = (!message.inbound && language) || ""; // empty: not known, as HTML has it
  return made;
}

function showRecord(state) {
  const { received, sent, segments, cost, made_up_money: madeUp } = state.totals;
  at("totals").textContent =
    `${received} from the farmer, ${sent} to the farmer in ${count(segments, "segment")}: ${cost}.`
    + (madeUp ? " XTS is made-up money; the config sets the real price and currency." : "");
  at("older").hidden = !state.older;
  at("older").textContent = `The ${state.older} oldest are left out here.`;
  at("record").replaceChildren(...state.messages.map(entry).reverse());
}

const count = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;

function entry(message) {
  const item = element("li", "", message.inbound ? "inbound" : message.why);
  const facts = element("p", "", "facts");
  facts.append(element("span", message.when));
  if (message.inbound) facts.append(element("span", "from the farmer", "why"), element("span", message.read));
  else facts.append(...sentFacts(message));
  item.append(facts, words(message, "p"));
  return item;
}

function sentFacts(message) {
  const facts = [element("span", message.why, "why")];
  if (message.state) facts.push(element("span", `did not arrive: ${message.state}`, "why"));
  if (message.dialogue) facts.push(element("span", `dialogue: ${message.dialogue}`));
  facts.push(element("span", count(message.segments, "segment")), element("span", message.encoding), element("span", message.cost));
  return facts;
}

function showKnowledge(sections) {
  at("knows").replaceChildren(...sections.flatMap(({ title, rows }) => [element("h3", title), namedList(rows)]));
  if (!sections.length) at("knows").append(element("p", "Nothing yet. A farmer joins with JOIN.", "nothing"));
}

function namedList(rows) {
  const list = element("dl");
  for (const [name, value] of rows) list.append(element("dt", name), element("dd", value));
  return list;
}

async function send() {
  const box = at("text");
  if (await ask("say", { phone: inHand, text: box.value })) box.value = "";
  box.focus();
}

at("write").addEventListener("submit", (event) => {
  event.preventDefault();
  send();
});
at("text").addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
  event.preventDefault();
  send();
});
at("phones").addEventListener("change", (event) => ask(`state?phone=${encodeURIComponent(event.target.value)}`));
at("add").addEventListener("click", (event) => ask(`state?phone=${encodeURIComponent(event.target.dataset.phone)}`));
at("to-next").addEventListener("click", () => ask("move", { phone: inHand }));
for (const button of document.querySelectorAll("[data-hours]")) {
  button.addEventListener("click", () => ask("move", { phone: inHand, hours: Number(button.dataset.hours) }));
}
at("rain").addEventListener("submit", (event) => {
  event.preventDefault();
  ask("rain", { phone: inHand, mm: at("mm").valueAsNumber });
});
for (const button of document.querySelectorAll(".tries button")) {
  button.addEventListener("click", () => {
    at("text").value = button.textContent;
    at("text").focus();
  });
}
ask("state");
