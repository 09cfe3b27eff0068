// What the pages gain by a script: they follow the events of the store, and take a
// file that is dropped on them. All else works without it.
"use strict";
(() => {
  const body = document.body;
  const kinds = { ticket: "job", step: "step", device: "device", alert: "alert", delivery: "delivery", chore: "background work" };
  const settle = 800; // milliseconds in which changes gather before the page is fetched again

  // --- live parts -----------------------------------------------------------

  let seq = Number(body.dataset.seq || 0);
  let source = null;
  let timer = 0;
  let waiting = new Map(); // kind of change to its last event
  let all = false; // look at everything anew
  let busy = false;

  const parts = () => [...document.querySelectorAll("[data-live]")];
  const wants = (part) => all || part.dataset.live.split(" ").some((kind) => waiting.has(kind));

  function follow() {
    if (source || document.hidden || !parts().length) return;
    source = new EventSource("/events?after=" + seq);
    source.addEventListener("change", (e) => {
      const event = JSON.parse(e.data);
      seq = event.seq;
      waiting.set(event.kind, event);
      gather();
    });
    source.addEventListener("reset", () => { all = true; gather(); });
    source.onerror = () => {
      if (source && source.readyState === EventSource.CLOSED) { // refused, as when the session is over
        source = null;
        say("This page no longer follows what happens. Refresh it.");
      }
    };
  }

  function pause() {
    if (source) source.close();
    source = null;
  }

  function gather() {
    if (!timer) timer = setTimeout(() => { timer = 0; refresh(); }, settle);
  }

  async function refresh() {
    if (busy) return gather();
    if (!parts().some(wants)) { waiting.clear(); return; }
    busy = true;
    const events = waiting, everything = all;
    try {
      const answer = await fetch(location.href, { credentials: "same-origin", redirect: "error", headers: { Accept: "text/html" } });
      if (!answer.ok) throw new Error(answer.statusText);
      const next = new DOMParser().parseFromString(await answer.text(), "text/html");
      let changed = 0;
      for (const part of parts()) {
        const fresh = part.id && next.getElementById(part.id);
        if (!fresh || !wants(part) || part.innerHTML === fresh.innerHTML || typing(part)) continue;
        swap(part, document.adoptNode(fresh));
        changed++;
      }
      for (const place of ["fresh"]) {
        const from = next.getElementById(place), to = document.getElementById(place);
        if (from && to) to.textContent = from.textContent;
      }
      const nav = document.querySelector(".top nav"), fresh = next.querySelector(".top nav");
      if (nav && fresh && nav.innerHTML !== fresh.innerHTML && !nav.contains(document.activeElement)) nav.replaceWith(fresh);
      if (changed) tell(events, everything);
      waiting = new Map([...waiting].filter(([kind, event]) => events.get(kind) !== event));
      all = false;
    } catch {
      say("The page could not be brought up to date. Refresh it.");
    } finally {
      busy = false;
    }
  }

  // typing is whether somebody is filling something in here: it is not taken away.
  function typing(part) {
    const at = document.activeElement;
    return part.contains(at) && at.matches("input:not([type=checkbox]), textarea, select");
  }

  // swap puts the fresh part in place, with the focus, what was unfolded, and what was
  // moved aside as they were.
  function swap(part, fresh) {
    const focus = part.contains(document.activeElement) ? nth(part, "a, button, summary, [tabindex]", document.activeElement) : -1;
    const open = [...part.querySelectorAll("details")].map((d) => d.open);
    const moved = [...part.querySelectorAll(".scroll")].map((s) => s.scrollLeft);
    part.replaceWith(fresh);
    fresh.querySelectorAll("details").forEach((d, i) => { d.open = open[i] || false; });
    fresh.querySelectorAll(".scroll").forEach((s, i) => { s.scrollLeft = moved[i] || 0; });
    if (focus >= 0) fresh.querySelectorAll("a, button, summary, [tabindex]")[focus]?.focus({ preventScroll: true });
    fresh.classList.add("fresh");
  }

  function nth(part, what, which) { return [...part.querySelectorAll(what)].indexOf(which); }

  function tell(events, everything) {
    if (everything || !events.size) return say("The page was brought up to date.");
    const words = [...events.values()].map((e) => kinds[e.kind] + (e.state ? " now " + e.state : " changed"));
    say("Brought up to date: " + words.join(", ") + ".");
  }

  function say(text) {
    const live = document.getElementById("live");
    if (live) live.textContent = text;
  }

  if (body.dataset.follow) {
    document.addEventListener("visibilitychange", () => (document.hidden ? pause() : follow()));
    addEventListener("pagehide", pause);
    // After the page is loaded, so that browsers do not take it for loading still; and when
    // it comes back from where browsers keep pages that were left.
    addEventListener("pageshow", follow);
  }

  // --- a file dropped on the sheet ------------------------------------------

  const form = document.querySelector("[data-drop]");
  if (form) {
    const input = form.querySelector("input[type=file]");
    form.querySelector("[data-hint]").hidden = false;
    const sheet = form.closest(".sheet");
    for (const kind of ["dragenter", "dragover"]) {
      sheet.addEventListener(kind, (e) => { e.preventDefault(); form.classList.add("over"); });
    }
    for (const kind of ["dragleave", "drop"]) {
      sheet.addEventListener(kind, () => form.classList.remove("over"));
    }
    sheet.addEventListener("drop", (e) => {
      e.preventDefault();
      if (!e.dataTransfer.files.length) return;
      input.files = e.dataTransfer.files;
      form.requestSubmit();
    });
    input.addEventListener("change", () => { if (input.files.length) form.requestSubmit(); });
  }
})();
