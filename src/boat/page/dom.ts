import { withoutTurns } from '../../../shared/contract/index.ts';

type Attributes = Readonly<Record<string, string | number | boolean | undefined>>;
type Child = Node | string | undefined;

/**
 * Creates an element. User text is added as isolated text nodes, so it is never read as markup and its writing
 * direction does not affect its neighbors. An attribute that is undefined or false is left out.
 */
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

/** A button's action; the button is disabled until the action has finished. */
export type Act = () => Promise<void> | void;

/** A button that is disabled while its action runs, so a second tap has no effect. */
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

/** A labeled drop-down list. */
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
