// Draws a picture that the page made, in the colours of the page around it.
export default function (component) {
  component.parentElement.innerHTML = component.data.svg;
}
