// Pages work without this file. It renews the part of a page that changes, and
// shows how far a photo has been sent.
"use strict";

function renew(part) {
  let tag = "";
  const ask = async () => {
    if (!document.hidden) {
      try {
        const answer = await fetch(part.dataset.live, { headers: tag ? { "If-None-Match": tag } : {}, cache: "no-store" });
        if (answer.headers.get("Settled")) { location.reload(); return; }
        if (answer.status === 200) {
          tag = answer.headers.get("ETag") || "";
          const text = await answer.text();
          if (!part.contains(document.activeElement) && part.innerHTML.trim() !== text.trim()) { part.innerHTML = text; }
        }
      } catch { /* the Wi-Fi is weak: ask again */ }
    }
    setTimeout(ask, 2000);
  };
  setTimeout(ask, 2000);
}

function sendPhoto(form) {
  const says = form.querySelector("[data-says]");
  const button = form.querySelector("button");
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const data = new FormData(form);
    const request = new XMLHttpRequest();
    const failed = () => { button.disabled = false; says.textContent = form.dataset.failed; };
    button.disabled = true;
    says.textContent = form.dataset.sending;
    request.upload.addEventListener("progress", (e) => {
      if (e.lengthComputable) { says.textContent = form.dataset.sending + " " + Math.round(100 * e.loaded / e.total) + " %"; }
    });
    request.addEventListener("load", () => {
      const shot = new URL(request.responseURL || form.action, location.href);
      if (request.status === 200 && shot.href !== new URL(form.action, location.href).href) { location.assign(shot.pathname + shot.search); return; }
      const page = new DOMParser().parseFromString(request.responseText, "text/html");
      const main = page.querySelector("main");
      if (request.status === 200 && main) { document.querySelector("main").replaceWith(main); main.focus(); return; }
      failed();
      const why = main && main.querySelector("[data-why]");
      if (why) { says.textContent = why.textContent.replace(/\s+/g, " ").trim(); }
    });
    request.addEventListener("error", failed);
    request.addEventListener("timeout", failed);
    request.open("POST", form.action);
    request.send(data);
  });
}

document.querySelectorAll("[data-live]").forEach(renew);
document.querySelectorAll("form[data-sending]").forEach(sendPhoto);

// Enter goes on to the next field while slices are weighed.
function weigh(form) {
  const fields = [...form.querySelectorAll("input")];
  form.addEventListener("keydown", (event) => {
    const next = fields[fields.indexOf(event.target) + 1];
    if (event.key === "Enter" && next) { event.preventDefault(); next.focus(); }
  });
}

document.querySelectorAll("form[data-weigh]").forEach(weigh);

// A slice's page slides up over the tray's in place of leaving it. What it shows is
// asked for as soon as a finger comes down.
const sheets = new Map();

function sheetOf(address) {
  if (!sheets.has(address)) {
    sheets.set(address, fetch(address).then((answer) => answer.ok ? answer.text() : Promise.reject(answer.status)).then((text) => new DOMParser().parseFromString(text, "text/html")));
    sheets.get(address).catch(() => sheets.delete(address));
  }
  return sheets.get(address);
}

// sharpenLater shows the tray's own picture, which the phone has, until the one at the
// photo's full resolution is decoded.
function sharpenLater(sheet) {
  const tray = document.querySelector(".tray-figure image.over");
  const images = [...sheet.querySelectorAll("image")];
  if (!tray || images.length === 0) { return; }
  const fine = new Image();
  fine.src = images[0].getAttribute("href");
  const show = (address) => images.forEach((image) => image.setAttribute("href", address));
  show(tray.getAttribute("href"));
  fine.decode().then(() => show(fine.src), () => show(fine.src));
}

function showSheet(address, from) {
  let sheet = document.querySelector("dialog");
  if (!sheet) {
    sheet = document.createElement("dialog");
    sheet.addEventListener("click", (event) => { if (event.target === sheet) { sheet.close(); } });
    sheet.addEventListener("close", () => { if (sheet.open) { return; } sheet.replaceChildren(); if (sheet.from) { sheet.from.focus(); } });
    document.body.append(sheet);
  }
  if (!sheet.open) {
    sheet.from = from;
    sheet.setAttribute("aria-label", from.getAttribute("aria-label") || from.textContent.trim());
    sheet.showModal();
  }
  sheetOf(address).then((page) => {
    const shut = document.createElement("button");
    shut.className = "shut";
    shut.setAttribute("aria-label", page.querySelector(".back").getAttribute("aria-label"));
    shut.append(document.createElementNS("http://www.w3.org/2000/svg", "svg"));
    shut.firstChild.setAttribute("viewBox", "0 0 24 24");
    shut.firstChild.setAttribute("class", "icon");
    shut.firstChild.innerHTML = '<path d="M6 9l6 6 6-6"/>';
    shut.addEventListener("click", () => sheet.close());
    const body = [...page.querySelectorAll("[data-sheet-body]")].map((part) => document.importNode(part, true));
    sharpenLater(body[0]);
    sheet.replaceChildren(shut, ...body);
    sheet.scrollTop = 0;
    shut.focus();
    sheet.querySelectorAll("a[data-sheet][href]").forEach((next) => sheetOf(next.getAttribute("href")).catch(() => {}));
  }).catch(() => location.assign(address));
}

const sheetLink = (event) => event.target.closest("a[data-sheet][href]");
document.addEventListener("pointerdown", (event) => {
  const link = sheetLink(event);
  if (link) { sheetOf(link.getAttribute("href")); }
});
document.addEventListener("click", (event) => {
  const link = sheetLink(event);
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || !document.querySelector(".tray-figure")) { return; }
  event.preventDefault();
  showSheet(link.getAttribute("href"), link);
});

// How long a tray has been out of the cold goes on counting, by this page's own clock.
document.querySelectorAll("[data-cold]").forEach((part) => {
  setInterval(() => {
    const minutes = Math.floor(Number(part.dataset.cold) + performance.now() / 60000);
    part.textContent = part.dataset.says.replace("{n}", minutes);
    part.hidden = minutes < 1;
  }, 10000);
});

// What is looked at first is asked for before it is tapped.
const ahead = 6;
(globalThis.requestIdleCallback || setTimeout)(() => {
  if (!document.querySelector(".tray-figure")) { return; }
  document.querySelectorAll(`.rows > :nth-child(-n+${ahead}) a[data-sheet]`).forEach((link) => sheetOf(link.getAttribute("href")).catch(() => {}));
});
