/** Elements made by hand: text is always text, never markup. */

export type Kid = Node | string | number | null | undefined | false;
type Props = Record<string, unknown>;

/** An element with attributes, `on…` listeners and children. */
export function h<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  props: Props = {},
  ...kids: Kid[]
): HTMLElementTagNameMap[K] {
  const node = document.createElement(tag);
  dress(node, props, kids);
  return node;
}

/** The same for SVG. */
export function svg(tag: string, props: Props = {}, ...kids: Kid[]): SVGElement {
  const node = document.createElementNS('http://www.w3.org/2000/svg', tag);
  dress(node, props, kids);
  return node;
}

function dress(node: Element, props: Props, kids: Kid[]): void {
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith('on') && typeof value === 'function') {
      node.addEventListener(key.slice(2), value as EventListener);
    } else if (key === 'value') {
      (node as HTMLInputElement).value = String(value);
    } else if (key === 'checked' || key === 'selected' || key === 'disabled') {
      (node as unknown as Record<string, unknown>)[key] = value;
    } else {
      node.setAttribute(key, value === true ? '' : String(value));
    }
  }
  for (const kid of kids) {
    if (kid === null || kid === undefined || kid === false) continue;
    node.append(typeof kid === 'number' ? String(kid) : kid);
  }
}

/** The element of an id; the page's own skeleton has it. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  return document.getElementById(id) as T;
}

/** Replaces what an element holds; whoever had the keyboard keeps it. */
export function fill(node: HTMLElement, ...kids: Kid[]): void {
  const active = document.activeElement;
  const id = active instanceof HTMLElement && node.contains(active) ? active.id : '';
  const typed = active instanceof HTMLInputElement && active.type === 'text' ? active.selectionStart : null;
  const open = new Set(
    [...node.querySelectorAll('details[open][id]')].map(details => details.id),
  );
  node.replaceChildren(...kids.filter((kid): kid is Node | string | number =>
    kid !== null && kid !== undefined && kid !== false).map(kid => (typeof kid === 'number' ? String(kid) : kid)));
  for (const details of node.querySelectorAll('details[id]')) {
    if (open.has(details.id)) (details as HTMLDetailsElement).open = true;
  }
  // Where what had the keyboard is gone, the heading takes it.
  const again = id ? document.getElementById(id) ?? node.querySelector('[tabindex="-1"]') : null;
  if (again instanceof HTMLElement) {
    again.focus({ preventScroll: true });
    if (typed !== null && again instanceof HTMLInputElement) again.setSelectionRange(typed, typed);
  }
}
