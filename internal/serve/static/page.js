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
      if (request.status === 200 && shot.pathname.startsWith("/shots/")) { location.assign(shot.pathname + shot.search); return; }
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

// A tap on a slice in the picture leads to its field while the slices are weighed;
// Enter goes on to the next.
function weigh(form) {
  const fields = [...form.querySelectorAll("input")];
  form.addEventListener("keydown", (event) => {
    const next = fields[fields.indexOf(event.target) + 1];
    if (event.key === "Enter" && next) { event.preventDefault(); next.focus(); }
  });
  document.querySelectorAll('a[href^="#piece-"]').forEach((slice) => slice.addEventListener("click", (event) => {
    const field = document.getElementById("weigh-" + slice.getAttribute("href").slice("#piece-".length));
    if (field && form.parentElement.open) { event.preventDefault(); field.focus(); }
  }));
}

document.querySelectorAll("form[data-weigh]").forEach(weigh);
