import { withoutTurns } from '../../../shared/contract/index.ts';

type Attributes = Readonly<Record<string, string | number | boolean | undefined>>;
type Child = Node | string | undefined;

/** An element; texts of the person's become text nodes, never markup, and turn nothing beside them round. An attribute of undefined or false is left out. */
export function element<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes))
    if (value !== undefined && value !== false) made.setAttribute(name, value === true ? '' : String(value));
  made.append(
    ...children
      .filter((child) => child !== undefined)
      .map((child) => (typeof child === 'string' ? withoutTurns(child) : child)),
  );
  return made;
}

/** What a tap does; the button stays down until it is done. */
export type Act = () => Promise<void> | void;

/** A button that stays down, and takes no second tap, until what it does is done. */
export function button(label: string, act: Act, attributes: Attributes = {}): HTMLButtonElement {
  const made = element('button', { type: 'button', ...attributes }, label);
  made.addEventListener('click', async () => {
    if (made.ariaBusy === 'true') return;
    made.ariaBusy = 'true';
    try {
      await act();
    } finally {
      made.ariaBusy = null;
    }
  });
  return made;
}

/** A choice of texts with its label. */
export function choice(
  label: string,
  values: readonly (readonly [value: string, text: string])[],
  chosen: string,
): { readonly row: HTMLElement; readonly value: () => string } {
  const select = element('select');
  for (const [value, text] of values)
    select.append(element('option', { value, selected: value === chosen }, text));
  return { row: element('label', {}, label, select), value: () => select.value };
}
