// Where the browser lets a page have the camera, the big button opens its picture here:
// look.js finds the mat in it, an arrow and a word say what would be better, and the
// shutter goes off by itself. Everywhere, and always beside it, the phone's own camera
// takes the photo. What is taken goes to queue.js.
"use strict";

const wellFor = 600; // ms that all must be well before the shutter goes off
const pace = 60;     // ms from one look to the next, at least: more tells nothing and warms the phone

function guide(form) {
  const page = document.querySelector("template[data-guide]");
  const input = form.querySelector("input[type=file]");
  const button = form.querySelector(".camera");
  const says = form.querySelector("[data-says]");
  let refused = false;

  // live shows the camera's picture until a photo was taken or it is closed.
  const live = async () => {
    const dialog = page.content.querySelector("dialog").cloneNode(true);
    const view = new View(dialog);
    document.body.append(dialog);
    dialog.querySelector("[data-shut]").addEventListener("click", () => dialog.close());
    dialog.querySelector("[data-own]").addEventListener("click", () => { dialog.close(); input.click(); });
    dialog.addEventListener("close", () => dialog.remove());
    const away = () => { if (document.hidden) { dialog.close(); } }; // a phone takes the camera away meanwhile
    document.addEventListener("visibilitychange", away);
    dialog.showModal();
    const camera = new Camera(page.dataset);
    dialog.addEventListener("close", () => { camera.close(); document.removeEventListener("visibilitychange", away); });
    try {
      await camera.open(view.video);
      const file = await guided(camera, view, dialog);
      dialog.close();
      if (file) { form.dispatchEvent(new CustomEvent("photo", { detail: { file, again: live } })); }
    } catch (error) {
      const shut = !dialog.open; // by hand, before there was a camera
      dialog.close();
      if (!shut) { refused = true; says.textContent = page.dataset.refused; }
    }
  };

  button.addEventListener("click", (event) => { if (!refused) { event.preventDefault(); says.textContent = ""; live(); } });
  const own = page.content.querySelector("[data-own-camera]").cloneNode(true);
  own.addEventListener("click", () => input.click());
  button.after(own);

  // From a result on to the next tray is one tap, where that asks nothing of anybody.
  const next = location.hash === "#next";
  navigator.permissions?.query({ name: "camera" }).then((camera) => {
    refused ||= camera.state === "denied";
    if (camera.state === "granted" && next) { live(); }
  }).catch(() => {});
  if (next) { history.replaceState(null, "", location.pathname + location.search); } // once
  navigator.serviceWorker.ready.then(({ active }) => active.postMessage(["look", "wasm", "mats"].map((name) => page.dataset[name]))); // for when there is no Wi-Fi
}

// guided looks at one frame after another until one is taken; nothing where the view was
// closed before.
async function guided(camera, view, dialog) {
  let since = 0;
  while (dialog.open) {
    const due = new Promise((resolve) => { setTimeout(resolve, pace); });
    const seen = await camera.look();
    if (!dialog.open) { return undefined; }
    view.show(seen);
    since = seen.word === "well" ? since || performance.now() : 0;
    const well = since > 0 && performance.now() - since >= wellFor;
    if (well || view.pressed) {
      const file = await camera.take(!view.pressed);
      if (file) { return file; }
      view.pressed = false;
      since = 0;
    }
    await due;
  }
  return undefined;
}

// Camera is the phone's camera with the worker that looks through it.
class Camera {
  constructor(addresses) {
    this.addresses = addresses;
    this.track = undefined;
    this.side = 0; // the longer side, px, of a photo
  }

  async open(video) {
    // Where the browser takes no photos apart from the video, a frame of it is the photo.
    const apart = "ImageCapture" in globalThis;
    const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: apart ? 1920 : 4096 }, height: { ideal: apart ? 1440 : 3072 } } });
    this.video = video;
    [this.track] = stream.getVideoTracks();
    if (this.closed) { this.close(); return; }
    video.srcObject = stream;
    await video.play();
    if (apart) {
      this.capture = new ImageCapture(this.track);
      const can = await this.capture.getPhotoCapabilities().catch(() => undefined);
      if (can && can.imageWidth && can.imageWidth.max > 0) {
        this.size = { imageWidth: can.imageWidth.max, imageHeight: can.imageHeight.max };
        if (can.fillLightMode && can.fillLightMode.includes("off")) { this.size.fillLightMode = "off"; } // a flash is a mirror image
        this.side = Math.max(can.imageWidth.max, can.imageHeight.max);
      }
    }
    this.worker = new Worker(this.addresses.look);
    await this.ask({ wasm: this.addresses.wasm, mats: this.addresses.mats });
  }

  close() {
    this.closed = true;
    if (this.track) { this.track.stop(); }
    if (this.worker) { this.worker.terminate(); }
  }

  // ask puts one question to the worker, after the answer to the last one.
  ask(what, hand = []) {
    return new Promise((resolve) => {
      this.worker.onmessage = (event) => resolve(event.data);
      this.worker.onerror = () => resolve({ failed: "the worker did not start" });
      this.worker.postMessage(what, hand);
    });
  }

  // look is what is seen in the picture now, or just before: while the worker looks at one
  // the next is fetched.
  async look() {
    const { picture, at } = await (this.fetched || this.fetch());
    const answer = this.ask({ picture, at, side: this.side || Math.max(picture.width, picture.height) }, [picture]);
    this.fetched = this.fetch();
    return answer;
  }

  async fetch() {
    if (this.video.requestVideoFrameCallback) { await new Promise((resolve) => { this.video.requestVideoFrameCallback(resolve); }); } // the same one twice would look still
    const at = performance.now();
    return { picture: await createImageBitmap(this.video), at };
  }

  // take gives the photo, at full resolution where the browser can, or the frame. By
  // itself it gives only what keeps the limits as it was taken; a hand may take what it
  // likes, but for a frame too coarse to be measured.
  async take(itself) {
    this.fetched = undefined;
    for (const shot of [() => this.photo(), () => this.frame()]) {
      const blob = await shot();
      if (!blob) { continue; }
      const picture = await createImageBitmap(blob);
      const seen = await this.ask({ picture }, [picture]);
      const good = itself ? seen.whole && seen.near && seen.level : !seen.coarse;
      if (good) { return new File([blob], "tray.jpg", { type: blob.type }); }
    }
    return undefined;
  }

  photo() {
    if (!this.capture) { return undefined; }
    const late = new Promise((resolve) => { setTimeout(resolve, 5000); });
    return Promise.race([this.capture.takePhoto(this.size), late]).catch(() => undefined);
  }

  async frame() {
    const canvas = document.createElement("canvas");
    canvas.width = this.video.videoWidth;
    canvas.height = this.video.videoHeight;
    canvas.getContext("2d").drawImage(this.video, 0, 0);
    return new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", 0.95); });
  }
}

// View is the picture with what is drawn over it.
class View {
  constructor(dialog) {
    this.video = dialog.querySelector("video");
    this.over = dialog.querySelector("svg.over");
    this.say = dialog.querySelector("[data-say]");
    this.dots = [...dialog.querySelectorAll("[data-is]")];
    this.words = new Map([...dialog.querySelectorAll("[data-word]")].map((e) => [e.dataset.word, e.textContent]));
    this.pressed = false;
    dialog.querySelector("[data-take]").addEventListener("click", () => { this.pressed = true; });
  }

  show(seen) {
    const word = this.words.get(seen.word) || "";
    if (this.say.textContent !== word) { this.say.textContent = word; }
    for (const dot of this.dots) { dot.classList.toggle("on", Boolean(seen[dot.dataset.is])); }
    if (!seen.w) { return; }
    this.over.setAttribute("viewBox", `0 0 ${seen.w} ${seen.h}`);
    const shape = (points) => points.map((p, i) => (i ? "L" : "M") + p.map((v) => v.toFixed(1)).join(" ")).join("") + "Z";
    this.draw("paper", seen.paper ? shape(seen.paper) : "");
    this.draw("tags", (seen.tags || []).map(shape).join(""));
    this.draw("covered", (seen.covered || []).map(shape).join(""));
    this.draw("way", way(seen));
  }

  draw(what, path) { this.over.querySelectorAll("." + what).forEach((e) => e.setAttribute("d", path)); }
}

// way is an arrow, as a path: out of the picture where the phone is to go, into it from
// the edge that is to be lifted; four of them where it is to come lower or go higher.
function way({ word, towards, w, h }) {
  const size = Math.min(w, h) / 6;
  const arrow = (x, y, turn) => {
    const at = (along, across) => [x + size * (along * Math.cos(turn) - across * Math.sin(turn)), y + size * (along * Math.sin(turn) + across * Math.cos(turn))].map((v) => v.toFixed(1)).join(" ");
    return `M${at(-0.5, 0)}L${at(0.5, 0)}M${at(0.1, -0.4)}L${at(0.5, 0)}L${at(0.1, 0.4)}`;
  };
  const out = (turn, reach) => [w / 2 + Math.cos(turn) * (w / 2 - reach), h / 2 + Math.sin(turn) * (h / 2 - reach)];
  if (word === "lower" || word === "higher") {
    const back = word === "higher" ? Math.PI : 0;
    return [0.25, 0.75, 1.25, 1.75].map((q) => arrow(...out(q * Math.PI, size), q * Math.PI + back)).join("");
  }
  if (towards === undefined) { return ""; }
  const square = Math.round(towards / (Math.PI / 2)) * (Math.PI / 2);
  const [x, y] = out(square, 0.8 * size);
  if (word !== "lift") { return arrow(x, y, square); }
  const [ex, ey] = out(square, 0.1 * size), half = [Math.sin(square) * w / 4, Math.cos(square) * h / 4];
  return arrow(x, y, square + Math.PI) + `M${ex - half[0]} ${ey - half[1]}L${ex + half[0]} ${ey + half[1]}`;
}

if (guides) {
  document.querySelectorAll("form[data-shoot]").forEach(guide);
}
