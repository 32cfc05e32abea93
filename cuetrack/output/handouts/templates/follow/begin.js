// Where a browser lacks what the page stands on, the plain player is the better page.
if (!window.HTMLDialogElement || !Element.prototype.replaceChildren) {
  throw new Error("this browser shows the plain page");
}
byId("back").addEventListener("click", back);
byId("play").addEventListener("click", playOrPause);
byId("forward").addEventListener("click", forward);
byId("hold").addEventListener("click", holdOrReturn);
byId("anew").addEventListener("click", () => goOn(0));
byId("sleep-note").hidden = canKeepAwake;
loadSound();
setUpPanels();
setUpVolumes();
setUpFullScreen();
setUpKeys();
setUpMediaKeys();
setUpChoices();
window.classRuns = true;
refresh();
fit();
tellOfOutput();
navigator.mediaDevices?.addEventListener?.("devicechange", tellOfOutput);
window.addEventListener("resize", () => {
  drawn = "";
  fit();
  refresh();
});
window.addEventListener("pagehide", () => state.mode !== "ready" && state.mode !== "ended" && keepPlace(state.ms));
requestAnimationFrame(frame);
