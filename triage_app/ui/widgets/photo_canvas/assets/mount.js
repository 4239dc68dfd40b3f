// All the code that a rerun sends: hands over to the code that the page has loaded once.

export default function mount(given) {
  const show = () => globalThis.underbodyPhotoCanvas(given);
  if (globalThis.underbodyPhotoCanvas) show();
  else addEventListener("underbodyPhotoCanvas", show, { once: true });
}
