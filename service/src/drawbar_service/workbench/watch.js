// Apart from the other scripts: one of them that does not arrive must not leave the page asking for good.

(() => {
  const PATIENCE = 12000;

  function lost() {
    const place = document.querySelector("#verdict");
    if (place === null || document.body.dataset.started !== undefined) return;
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Load it again";
    again.addEventListener("click", (event) => {
      event.preventDefault();
      location.reload();
    });
    const heading = document.createElement("h3");
    heading.className = "verdict";
    heading.textContent = "A part of this page did not arrive.";
    place.replaceChildren(heading, again);
    document.querySelector("#answer").setAttribute("aria-busy", "false");
  }

  addEventListener("error", (event) => {
    if (event.target instanceof HTMLScriptElement) addEventListener("load", lost, { once: true });
    if (event.target instanceof HTMLScriptElement && document.readyState === "complete") lost();
  }, true);
  setTimeout(lost, PATIENCE);
})();
