// Trains the eye without the server: it shows a slice at its true size, asks, tells the
// truth, keeps the guesses and sends them when the server answers. What comes next follows
// S. Leitner's boxes (So lernt man lernen, 1972): a kind of guess (a measure of a fish)
// begins in the first, goes up one when it was right and back to the first when it was
// wrong. The first is looked into at once, the others after 1, 2, 4, 8, 16 days.
"use strict";

const lastBox = 5; // from 0
const dayMs = 24 * 3600 * 1000;

// leitner sums up guesses, oldest first, as the box and the time when each kind is due.
function leitner(past) {
  const kinds = new Map();
  for (const g of past) {
    const was = kinds.get(g.fish + "/" + g.measure) || { box: 0 };
    const box = g.right ? Math.min(lastBox, was.box + 1) : 0;
    kinds.set(g.fish + "/" + g.measure, { box, due: g.at + (g.right ? dayMs * 2 ** (box - 1) : 0) });
  }
  return kinds;
}

// nextUp picks a slice and what to ask: of what is due the lowest box, of what is not the
// soonest; never the slice that was just shown, while there is another.
function nextUp(cards, past, shown, now) {
  const kinds = leitner(past);
  let best = null;
  for (const card of cards) {
    for (const ask of card.asks) {
      const kind = kinds.get(card.fish + "/" + ask.measure) || { box: 0, due: 0 };
      const rank = [card.id === shown[shown.length - 1] ? 1 : 0, kind.due <= now ? 0 : kind.due, kind.box, shown.lastIndexOf(card.id), Math.random()];
      const at = best ? rank.findIndex((x, i) => x !== best.rank[i]) : -1;
      if (!best || at >= 0 && rank[at] < best.rank[at]) { best = { card, ask, rank }; }
    }
  }
  return best;
}

// A screen is measured in its own pixels, which zooming a page does not change.
const ruler = {
  get pxPerMM() { return Number(localStorage.getItem("screen-px-per-mm")) / devicePixelRatio; },
  set pxPerMM(css) { localStorage.setItem("screen-px-per-mm", css * devicePixelRatio); },
};

function measureScreen(part, changed) {
  const card = part.querySelector("[data-bank-card]");
  const slider = part.querySelector("[data-px-per-mm]");
  const draw = () => {
    card.style.width = slider.value * part.dataset.short + "px";
    card.style.height = slider.value * part.dataset.long + "px";
  };
  slider.value = ruler.pxPerMM || 6;
  draw();
  slider.addEventListener("input", draw);
  part.querySelector("[data-fits]").addEventListener("click", () => {
    ruler.pxPerMM = slider.value;
    part.open = false;
    changed();
  });
}

// waiting are the guesses that the server has not got yet, by whose they are.
class Waiting {
  constructor(owner) { this.key = "guesses:" + owner; }
  get all() { return JSON.parse(localStorage.getItem(this.key) || "[]"); }
  set all(list) { localStorage.setItem(this.key, JSON.stringify(list)); }
  add(guess) { this.all = [...this.all, guess]; }
  async send(address) {
    while (this.all.length > 0) {
      const first = this.all[0];
      let answer;
      try {
        answer = await fetch(address, { method: "POST", body: new URLSearchParams(first) });
      } catch { return; } // out of reach
      if (answer.status === 401 || answer.status >= 500 || answer.status === 429) { return; }
      this.all = this.all.filter((g) => g.token !== first.token);
    }
  }
}

const token = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");

class Trainer {
  constructor(part, deck) {
    this.part = part;
    this.cards = deck.cards;
    this.past = deck.past || [];
    this.shown = [];
    this.waiting = new Waiting(part.dataset.owner);
    for (const g of this.waiting.all) { this.past.push({ fish: g.fish, measure: g.measure, right: g.right === "1", at: Number(g.at) }); }
    this.find("[data-number]").addEventListener("submit", (event) => { event.preventDefault(); this.guessed(this.find("[data-value]").value); });
    this.find("[data-yes]").addEventListener("click", () => this.guessed("1"));
    this.find("[data-no]").addEventListener("click", () => this.guessed("0"));
    this.find("[data-next]").addEventListener("click", () => this.next());
    addEventListener("online", () => this.send());
    addEventListener("resize", () => this.size());
    if (window.visualViewport) { visualViewport.addEventListener("resize", () => this.size()); }
    part.querySelector("[data-guess]").hidden = true;
    this.find("[data-play]").hidden = false;
    this.next();
    this.send();
  }

  find(what) { return this.part.querySelector(what); }

  next() {
    this.now = nextUp(this.cards, this.past, this.shown, Date.now());
    const { card, ask } = this.now;
    this.shown.push(card.id);
    const picture = this.find("[data-picture]");
    picture.src = URL.createObjectURL(new Blob([Uint8Array.from(atob(card.picture), (c) => c.charCodeAt(0))], { type: "image/jpeg" }));
    picture.onload = () => URL.revokeObjectURL(picture.src);
    Object.assign(this.find("[data-fish]"), { textContent: card.says, lang: card.lang });
    this.find("[data-rendered]").hidden = !card.rendered;
    this.find("[data-ask]").textContent = this.says("ask-" + ask.measure);
    this.find("[data-number]").hidden = ask.measure === "cover";
    this.find("[data-choice]").hidden = ask.measure !== "cover";
    this.find("[data-ask]").hidden = false;
    this.find("[data-answer]").hidden = true;
    this.find("[data-value]").value = "";
    this.size();
  }

  // says is one of the page's texts, with what stands in its braces.
  says(key, fill = {}) {
    const name = key.replace(/-(.)/g, (_, c) => c.toUpperCase());
    return Object.entries(fill).reduce((text, [k, v]) => text.replace("{" + k + "}", v), this.part.getAttribute("data-" + key) || this.part.dataset[name] || "");
  }

  // size shows the slice as large as it is, where the screen was measured.
  size() {
    const picture = this.find("[data-picture]");
    const zoomed = window.visualViewport && Math.abs(visualViewport.scale - 1) > 0.005;
    const known = ruler.pxPerMM > 0;
    const px = known ? ruler.pxPerMM : 6;
    picture.style.width = px * this.now.card.width + "px";
    picture.style.height = px * this.now.card.height + "px";
    this.find("[data-scale]").hidden = known && !zoomed;
    if (known && zoomed) { this.find("[data-scale]").textContent = this.part.dataset.zoomed; }
  }

  guessed(text) {
    const { card, ask } = this.now;
    const value = Number(text.trim().replace(",", "."));
    if (text.trim() === "" || !Number.isFinite(value) || value < 0 || value >= 1000 || (value === 0 && ask.measure !== "cover")) { return; }
    const off = value - ask.truth;
    const right = Math.abs(off) <= ask.within;
    const guess = { token: token(), card: card.id, fish: card.fish, measure: ask.measure, guess: String(value), right: right ? "1" : "0", at: String(Date.now()) };
    this.past.push({ fish: card.fish, measure: ask.measure, right, at: Number(guess.at) });
    this.waiting.add(guess);
    const unit = ask.measure === "weight" ? " g" : " mm";
    const written = (x) => x.toFixed(ask.digits);
    if (ask.measure === "cover") {
      this.find("[data-off]").textContent = this.says(right ? "right" : "wrong");
      this.find("[data-truth]").textContent = this.says("truth-cover-" + ask.truth);
    } else {
      this.find("[data-off]").textContent = this.says(right ? "near" : off < 0 ? "under" : "over", { gap: written(Math.abs(off)), unit });
      this.find("[data-truth]").textContent = this.says("truth-" + ask.measure, { truth: written(ask.truth) + (ask.u > 0 ? " ± " + written(Math.max(ask.u, 10 ** -ask.digits)) : "") });
    }
    for (const part of ["[data-number]", "[data-choice]", "[data-ask]"]) { this.find(part).hidden = true; }
    this.find("[data-answer]").hidden = false;
    this.find("[data-next]").focus();
    this.send();
  }

  async send() {
    await this.waiting.send("/eye");
    const n = this.waiting.all.length;
    this.find("[data-queue-says]").textContent = n > 0 ? this.says("waits", { n }) : "";
  }
}

const part = document.querySelector("[data-eye]");
let trainer = null;
measureScreen(document.querySelector("[data-ruler]"), () => { if (trainer) { trainer.size(); } });
fetch(part.dataset.deck).then((answer) => answer.ok ? answer.json() : Promise.reject(answer.status))
  .then((deck) => { trainer = new Trainer(part, deck); })
  .catch(() => { /* the form on the page works without the deck */ });
