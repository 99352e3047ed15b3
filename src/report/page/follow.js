// Loads the page anew when the design was saved, with the same parts unfolded, and says when nobody follows it any more.
const own = document.currentScript, line = document.getElementById("follows"), said = line.textContent;
const unfolded = () => [...document.querySelectorAll("details[open][id]")].map(part => part.id);
for (const id of JSON.parse(sessionStorage.getItem("unfolded") || "[]")) document.getElementById(id)?.setAttribute("open", "");
const events = new EventSource("events");
events.onopen = () => { line.textContent = said; line.classList.remove("ended"); };
events.onmessage = event => {
  if (event.data === own.dataset.version) return;
  sessionStorage.setItem("unfolded", JSON.stringify(unfolded()));
  location.reload();
};
events.onerror = () => {
  line.textContent = "This page is old: `holdpoint watch` has ended, or cannot be reached.";
  line.classList.add("ended");
};
