// Photos are kept on the phone the moment they are taken, and go to the server when it
// can be reached: after a reload, a crash or a day. Each is known by its SHA-256, by
// the server too, so that nothing is twice.
"use strict";

const kept = (() => {
  const opened = new Promise((resolve, reject) => {
    const asked = indexedDB.open("netagauge", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "hash" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  const on = (mode, act) => opened.then((db) => new Promise((resolve, reject) => {
    const change = db.transaction("photos", mode, { durability: "strict" });
    const asked = act(change.objectStore("photos"));
    change.oncomplete = () => resolve(asked.result);
    change.onabort = change.onerror = () => reject(change.error);
  }));
  return {
    put: (photo) => on("readwrite", (s) => s.put(photo)),
    drop: (hash) => on("readwrite", (s) => s.delete(hash)),
    get: (hash) => on("readonly", (s) => s.get(hash)),
    // without the bytes, which may be 100 MB together
    all: () => opened.then((db) => new Promise((resolve, reject) => {
      const out = [];
      const asked = db.transaction("photos").objectStore("photos").openCursor();
      asked.onerror = () => reject(asked.error);
      asked.onsuccess = () => {
        const at = asked.result;
        if (!at) { resolve(out.sort((a, b) => a.taken - b.taken)); return; }
        const { bytes, ...rest } = at.value;
        out.push(rest);
        at.continue();
      };
    })),
  };
})();

// sha256 of bytes in hexadecimal; by hand where a page is not secure (FIPS 180-4).
async function sha256(bytes) {
  if (globalThis.crypto && crypto.subtle) {
    return [...new Uint8Array(await crypto.subtle.digest("SHA-256", bytes))].map((b) => b.toString(16).padStart(2, "0")).join("");
  }
  return sha256ByHand(new Uint8Array(bytes));
}

function sha256ByHand(data) {
  const fraction = (x) => Math.floor((x - Math.floor(x)) * 2 ** 32) | 0;
  const k = [], h = [];
  for (let n = 2; k.length < 64; n++) {
    let prime = true;
    for (let d = 2; d * d <= n; d++) { if (n % d === 0) { prime = false; break; } }
    if (prime) {
      if (h.length < 8) { h.push(fraction(Math.sqrt(n))); }
      k.push(fraction(Math.cbrt(n)));
    }
  }
  const length = data.length;
  const padded = new Uint8Array((length + 9 + 63) & ~63);
  padded.set(data);
  padded[length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(length / 2 ** 29));
  view.setUint32(padded.length - 4, length << 3);
  const w = new Int32Array(64);
  const turn = (x, n) => (x >>> n) | (x << (32 - n));
  for (let at = 0; at < padded.length; at += 64) {
    for (let i = 0; i < 64; i++) {
      if (i < 16) { w[i] = view.getInt32(at + 4 * i); continue; }
      const a = w[i - 15], b = w[i - 2];
      w[i] = (turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)) + w[i - 7] + (turn(b, 17) ^ turn(b, 19) ^ (b >>> 10)) + w[i - 16];
    }
    let [a, b, c, d, e, f, g, z] = h;
    for (let i = 0; i < 64; i++) {
      const t1 = (z + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + k[i] + w[i]) | 0;
      const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      z = g; g = f; f = e; e = (d + t1) | 0; d = c; c = b; b = a; a = (t1 + t2) | 0;
    }
    [a, b, c, d, e, f, g, z].forEach((v, i) => { h[i] = (h[i] + v) | 0; });
  }
  return h.map((v) => (v >>> 0).toString(16).padStart(8, "0")).join("");
}

// post sends one kept photo. It gives the page that shows it, or says why it was not
// taken in; it throws where another try may go better.
function post(photo, onProgress) {
  return new Promise((resolve, reject) => {
    const form = new FormData();
    for (const [name, value] of photo.fields) { form.append(name, value); }
    form.append("photo", new Blob([photo.bytes], { type: photo.type }), photo.name);
    const request = new XMLHttpRequest();
    request.upload.addEventListener("progress", (e) => { if (e.lengthComputable) { onProgress(e.loaded / e.total); } });
    request.addEventListener("load", () => {
      const to = new URL(request.responseURL || photo.action, location.href);
      if (request.status === 200 && to.pathname.startsWith("/shots/")) { resolve({ page: to.pathname + to.search }); return; }
      const page = new DOMParser().parseFromString(request.responseText, "text/html");
      const why = page.querySelector("[data-why]");
      const text = why ? why.textContent.replace(/\s+/g, " ").trim() : "";
      if (request.status >= 400 && request.status < 500 && ![401, 403, 404, 408, 409, 429].includes(request.status)) { resolve({ why: text }); return; }
      reject(new Error(text));
    });
    request.addEventListener("error", () => reject(new Error("")));
    request.addEventListener("timeout", () => reject(new Error("")));
    request.timeout = 5 * 60 * 1000;
    request.open("POST", photo.action);
    request.send(form);
  });
}

// The time of day as pages have it.
const clock = (at) => new Date(at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

function queue(form) {
  const card = document.querySelector("[data-queue]");
  const input = form.querySelector("input[type=file]");
  const says = form.querySelector("[data-says]");
  const owner = form.dataset.owner;
  let draining = false, again;

  const show = async () => {
    const all = (await kept.all()).filter((p) => p.owner === owner);
    refused(all.filter((p) => p.why));
    const mine = all.filter((p) => !p.why);
    card.hidden = mine.length === 0;
    card.querySelector("[data-count]").textContent = mine.length;
    card.querySelector("[data-list]").replaceChildren(...mine.slice(0, 6).map((p) => {
      const line = document.createElement("li");
      line.textContent = clock(p.taken);
      return line;
    }));
    return mine;
  };

  // What the server will never take is told until it was read.
  const refused = (photos) => {
    form.querySelectorAll(".refused").forEach((told) => told.remove());
    for (const photo of photos) {
      const told = document.createElement("p");
      told.className = "problem hard refused";
      told.setAttribute("role", "alert");
      const read = document.createElement("button");
      read.type = "button";
      read.className = "plain";
      read.textContent = form.dataset.read;
      read.addEventListener("click", () => kept.drop(photo.hash).then(show));
      told.append(clock(photo.taken) + " " + photo.why, read);
      form.append(told);
    }
  };

  // Those just taken go first and lead to their result; where one fails the rest wait.
  const drain = async (first) => {
    if (draining) { return; }
    draining = true;
    clearTimeout(again);
    try {
      for (let mine = await show(); mine.length > 0; mine = await show()) {
        const photo = await kept.get((mine.find((p) => p.hash === first) || mine[0]).hash);
        if (!photo) { continue; } // another tab has sent it
        const answer = await post(photo, (share) => { says.textContent = form.dataset.sending + " " + Math.round(100 * share) + " %"; });
        says.textContent = "";
        if (answer.why === undefined) { await kept.drop(photo.hash); } else { await kept.put({ ...photo, why: answer.why || photo.name, bytes: new ArrayBuffer(0) }); }
        if (answer.page && photo.hash === first) { location.assign(answer.page); return; }
      }
    } catch (error) {
      says.textContent = error.message || form.dataset.waits;
      again = setTimeout(drain, 20000);
    } finally {
      draining = false;
      show();
    }
  };

  const keep = async (file) => {
    const bytes = await file.arrayBuffer();
    const hash = await sha256(bytes);
    const fields = [...new FormData(form)].filter(([, value]) => typeof value === "string");
    await kept.put({ hash, owner, action: form.getAttribute("action"), fields, name: file.name, type: file.type, taken: Date.now(), bytes });
    if (navigator.storage && navigator.storage.persist) { navigator.storage.persist(); }
    return hash;
  };

  // took keeps a photo and shows it; again opens what it was taken with.
  const took = async (file, again) => {
    let hash;
    try {
      hash = await keep(file);
    } catch { // no room on the phone: send it as it is
      const only = new DataTransfer();
      only.items.add(file);
      input.files = only.files;
      form.requestSubmit();
      return;
    }
    input.value = "";
    show();
    preview(file, () => drain(hash), async () => { await kept.drop(hash); show(); again(); });
  };

  input.addEventListener("change", () => { if (input.files[0]) { took(input.files[0], () => input.click()); } });
  form.addEventListener("photo", (event) => took(event.detail.file, event.detail.again)); // from guide.js
  addEventListener("online", () => drain());
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { drain(); } });
  drain();
}

// preview shows a photo with what can be done with it; it goes by itself.
function preview(file, send, retake) {
  const sheet = document.querySelector("template[data-preview]").content.firstElementChild.cloneNode(true);
  const picture = sheet.querySelector("img");
  picture.src = URL.createObjectURL(file);
  const done = (act) => () => { clearTimeout(itself); URL.revokeObjectURL(picture.src); sheet.remove(); act(); };
  const itself = setTimeout(() => sheet.querySelector("[data-send]").click(), 4000);
  sheet.querySelector("[data-send]").addEventListener("click", done(send));
  sheet.querySelector("[data-retake]").addEventListener("click", done(retake));
  sheet.addEventListener("cancel", (event) => event.preventDefault());
  document.body.append(sheet);
  sheet.showModal();
}

// A finger holds a phone over a tray; a computer's camera looks at who sits there.
const guides = isSecureContext && navigator.mediaDevices && globalThis.OffscreenCanvas && globalThis.WebAssembly && matchMedia("(pointer: coarse)").matches;
// Where the page looks through the camera itself, the next tray is taken there.
if (guides) { document.querySelectorAll("form.next").forEach((form) => form.remove()); }

if (globalThis.indexedDB) {
  document.querySelectorAll("form[data-shoot]").forEach((form) => { document.documentElement.classList.add("scripted"); queue(form); });
}
if (isSecureContext && "serviceWorker" in navigator) { navigator.serviceWorker.register("/sw.js"); }
