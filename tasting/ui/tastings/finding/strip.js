// Draws a picture that the page made, in the colours and for the width of the page around it.
const NARROW_PX = 500;

export default function (component) {
  const place = component.parentElement;
  const draw = () => {
    place.innerHTML = place.clientWidth < NARROW_PX ? component.data.narrow : component.data.wide;
    place.firstElementChild.style.maxWidth = "720px";
  };
  draw();
  const observer = new ResizeObserver(draw);
  observer.observe(place);
  return () => observer.disconnect();
}
