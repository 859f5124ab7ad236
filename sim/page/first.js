// Three things to try on the first visit. The list goes away when they are done, or when it is sent away, for good.

const KEY = "halfstop-tried";
const LINGERS = 4000; // ms that the last tick is seen

// What the hand did (as it is said to the device) -> the number of the step that it does, or -1.
function stepOf({ turn, down }, looksOpen) {
  if (down === "black") return 2;
  if (down === "push" && looksOpen) return 1;
  return turn && !looksOpen ? 0 : -1;
}

// box: the element with the list and the button that sends it away. Returns {show(wanted), did(what)}.
export function firstSteps(box) {
  const steps = [...box.querySelectorAll("li")];
  let over = remembered();
  let looksOpen = false;
  const end = () => {
    over = box.hidden = true;
    remember();
  };
  box.querySelector("button").addEventListener("click", end);
  return {
    show: (wanted) => (box.hidden = over || !wanted),
    did: (what) => {
      if (over || box.hidden) return;
      steps[stepOf(what, looksOpen)]?.classList.add("done");
      if (what.down) looksOpen = what.down === "look";
      if (steps.every((step) => step.classList.contains("done"))) {
        remember();
        setTimeout(end, LINGERS);
      }
    },
  };
}

// A browser may refuse to keep anything; then each visit is the first.
function remembered() {
  try {
    return localStorage.getItem(KEY) !== null;
  } catch {
    return false;
  }
}

function remember() {
  try {
    localStorage.setItem(KEY, "yes");
  } catch {
    // refused
  }
}
