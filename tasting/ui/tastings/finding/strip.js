// Draws a picture that the page made, in the colours and for the width of the page around it.
const STYLE =
  "<style>svg { max-width: 720px; } .narrow { display: none; } " +
  "@media (max-width: 640px) { .wide { display: none; } .narrow { display: block; } }</style>";

export default function (component) {
  const { wide, narrow } = component.data;
  component.parentElement.innerHTML =
    `${STYLE}<div class="wide">${wide}</div><div class="narrow">${narrow}</div>`;
}
