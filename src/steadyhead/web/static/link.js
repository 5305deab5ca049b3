"use strict"; // else the functions of the block below would take the place of the window's own
// What is typed or pressed while the program does not listen to the page is lost: meanwhile the page takes nothing.
{
  const SAID_AFTER_MS = 400;
  // A page that is linked sooner says nothing of it, and does not flash. Own choice.
  const LOOK_EVERY_MS = 25;
  let begun = performance.now();
  let lost = false;
  let followed = null;
  let focused = null;

  // steadyheadDrawn is the program's own word that the page is drawn: it comes after all that was sent before it.
  const linked = () => Boolean(window.steadyheadDrawn && window.did_handshake && window.socket.connected);

  function say(words) {
    const said = document.querySelector(".link-said");
    if (said && said.textContent !== words) said.textContent = words;
    document.documentElement.toggleAttribute("data-unlinked", words !== "");
  }

  function shut() {
    const main = document.getElementById("main");
    if (main && !main.inert) {
      focused = main.contains(document.activeElement) ? document.activeElement : null;
      main.inert = true;
    }
  }

  function unlock() {
    const main = document.getElementById("main");
    if (main) main.inert = false;
    if (focused && focused.isConnected && document.activeElement === document.body) focused.focus();
    focused = null;
    say("");
  }

  function unlinked() {
    window.did_handshake = false;
    // Else what is emitted now would be sent before the next handshake, and be dropped.
    lost = true;
    begun = performance.now();
    shut();
    look();
  }

  function look() {
    if (window.socket && followed !== window.socket) {
      followed = window.socket;
      followed.on("disconnect", unlinked);
    }
    if (linked() && document.getElementById("main")) {
      unlock();
      return;
    }
    shut();
    const said = document.querySelector(".link-said");
    if (said && performance.now() - begun > SAID_AFTER_MS) say(lost ? said.dataset.lost : said.dataset.waits);
    setTimeout(look, LOOK_EVERY_MS);
  }

  look();
}
