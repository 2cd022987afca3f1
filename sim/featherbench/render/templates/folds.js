// Opens what a link on the page leads to, and everything for paper.
const folds = document.querySelectorAll("section > details");
const unfold = () => {
  const target = location.hash && document.getElementById(location.hash.slice(1));
  const fold = target && target.querySelector(":scope > details");
  if (fold) fold.open = true;
};
addEventListener("hashchange", unfold);
unfold();
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...folds].filter((fold) => !fold.open);
  for (const fold of opened) fold.open = true;
});
addEventListener("afterprint", () => {
  for (const fold of opened) fold.open = false;
});
