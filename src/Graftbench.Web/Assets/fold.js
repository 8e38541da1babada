// The folded cards of a job: the one that the address names is opened, and what a person opened or folded stays so in this tab.
// Without it every card opens by hand.

const KEY = `fold ${location.pathname}`;
const folds = [...document.querySelectorAll("details[data-fold]")];

function kept() {
  try {
    return JSON.parse(sessionStorage.getItem(KEY) ?? "{}");
  } catch {
    return {};
  }
}

function keep(fold, open) {
  try {
    sessionStorage.setItem(KEY, JSON.stringify({ ...kept(), [fold.dataset.fold]: open }));
  } catch {
    // A full or barred storage: the cards open as the page says.
  }
}

function openNamed() {
  const named = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!named) {
    return;
  }
  const inside = named.matches(".card") ? named.querySelector("details[data-fold]") : null;
  for (let fold = inside ?? named.closest("details"); fold; fold = fold.parentElement.closest("details")) {
    fold.open = true;
  }
  named.scrollIntoView();
}

const before = kept();
for (const fold of folds) {
  fold.open = before[fold.dataset.fold] ?? fold.open;
  fold.querySelector("summary").addEventListener("click", () => keep(fold, !fold.open));
}
openNamed();
addEventListener("hashchange", openNamed);
