// One plain sentence where a browser cannot read the page's own code; written so that any browser reads this.

window.addEventListener("load", function () {
  if (document.body.hasAttribute("data-begun")) return;
  var place = document.getElementById("trouble");
  place.textContent =
    "This browser is too old for this page. Any that was brought up to date since 2024 will do; the commands do all of this without one.";
  place.hidden = false;
});
