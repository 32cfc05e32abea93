// Before anything is drawn: the page runs until something shows that it cannot.
document.documentElement.dataset.runs = "";
addEventListener("error", (event) => {
  if (event.target === window && !window.classRuns) delete document.documentElement.dataset.runs;
});
