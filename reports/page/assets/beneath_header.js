// What is jumped to comes to lie beneath the header, which stays on top and is as high as its words.

const header = document.querySelector("header");

new ResizeObserver(() => {
  document.documentElement.style.setProperty("--header", `${header.offsetHeight}px`);
}).observe(header);
