// Small helpers for making elements. Styles are classes only, so that the page needs no inline style.

type Attributes = Record<string, string | number | boolean | null | undefined>;
type Child = Node | string | null | undefined;

function fill(element: Element, attributes: Attributes, children: Child[]): void {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    element.setAttribute(name, value === true ? '' : String(value));
  }
  for (const child of children) if (child !== null && child !== undefined) element.append(child);
}

export function html<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  fill(element, attributes, children);
  return element;
}

const SVG = 'http://www.w3.org/2000/svg';

export function svg<K extends keyof SVGElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: Child[]
): SVGElementTagNameMap[K] {
  const element = document.createElementNS(SVG, tag);
  fill(element, attributes, children);
  return element;
}

/** The element of the page with this id; the page and this script are one build, so it is there. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no element "${id}"`);
  return element as T;
}

/** Millimetres as drawings write them: two decimals, no unit. */
export function mm(value: number): string {
  // Avoids "-0.00".
  return (Math.abs(value) < 0.005 ? 0 : value).toFixed(2);
}

/** "nickel-silver" as a reader writes it. */
export function words(id: string): string {
  return id.replace(/[-_]/g, ' ');
}
