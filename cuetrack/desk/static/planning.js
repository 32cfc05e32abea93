// The answers are on their way, and the plan is drawn: that is said, and not asked twice.
const form = document.querySelector("form.questions");
const status = document.getElementById("status");
const buttons = [...form.querySelectorAll("button")];

const busy = (is) => {
  buttons.forEach((one) => { one.disabled = is; });
  status.textContent = is ? status.dataset.wait : "";
  form.setAttribute("aria-busy", String(is));
};
// A button that is off when the form is read out would not be sent.
form.addEventListener("submit", () => { setTimeout(busy, 0, true); });
// Who goes back to the questions finds them as they were left, ready to be sent again.
addEventListener("pageshow", () => { busy(false); });
