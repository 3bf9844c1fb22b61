// What is said while the service cannot be reached: that it is so, and of when the answers are.

import { byId } from "./dom.js";

let oldest = null;

// An answer that was kept is shown in place of a new one.
export function heardOld(given) {
  oldest = oldest === null || given < oldest ? given : oldest;
}

export function heardNothingOld() {
  oldest = null;
}

function when(date) {
  const time = date.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const today = date.toDateString() === new Date().toDateString();
  return today ? `today, ${time}` : `${date.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}, ${time}`;
}

// `away` is whether a question found nobody, `passed` whether its verdict was read from the ruler all the same. Returns
// whether there is anything to ask again.
export function showOffline(away, passed = false) {
  const place = byId("offline");
  place.hidden = !away && oldest === null;
  document.body.classList.toggle("old", oldest !== null);
  if (place.hidden) return false;
  const lead = navigator.onLine ? "The service does not answer." : "You are offline.";
  if (oldest !== null) place.textContent = `${lead} These answers are from ${when(oldest)}. Sliders and rulers go on.`;
  else if (passed) place.textContent = `${lead} The verdict is read from the ruler; the rest is asked again by itself.`;
  else place.textContent = `${lead} This question has no answer yet; it is asked again by itself.`;
  return true;
}

export function watchOffline(again) {
  addEventListener("online", () => again());
  if (!("serviceWorker" in navigator)) return;
  // Fails where this browser keeps nothing, in a private window say: then the page needs its signal.
  navigator.serviceWorker.register("sw.js").catch((error) => console.info(error.message));
}
