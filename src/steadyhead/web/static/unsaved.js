// An edited machine text that was not kept yet: leaving the page asks first.
document.addEventListener("input", (event) => {
  if (event.target.closest && event.target.closest(".asks-before-leaving")) window.steadyheadUnsaved = true;
});
window.addEventListener("beforeunload", (event) => {
  if (window.steadyheadUnsaved) event.preventDefault();
});
