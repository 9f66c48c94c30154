import { withoutTurns } from '../../../shared/contract/index.ts';

type Attributes = Readonly<Record<string, string | number | boolean | undefined>>;
type Child = Node | string | undefined;

/**
 * Creates an element from its attributes and children, in any order. Text becomes text nodes, which are never
 * read as markup; characters that change the direction of text are shown as codes. An attribute that is
 * undefined or false is left out.
 */
export function element<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  ...parts: readonly (Attributes | Child)[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const part of parts) {
    if (typeof part === 'string') made.append(withoutTurns(part));
    else if (part instanceof Node) made.append(part);
    else
      for (const [name, value] of Object.entries(part ?? {}))
        if (value !== undefined && value !== false)
          made.setAttribute(name, value === true ? '' : String(value));
  }
  return made;
}

/** Creates a button that ignores taps while its action runs. */
export function button(
  label: string,
  act: () => Promise<void> | void,
  attributes: Attributes = {},
): HTMLButtonElement {
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

export const taps = (...buttons: readonly (HTMLButtonElement | undefined)[]): HTMLElement =>
  element('div', { class: 'small-taps' }, ...buttons);

export const rowList = <T>(
  kind: 'ol' | 'ul',
  items: readonly T[],
  row: (item: T) => HTMLElement,
): HTMLElement => element(kind, { class: 'rows' }, ...items.map(row));

export const choice = (
  values: readonly (readonly [value: string, text: string])[],
  chosen: string,
): HTMLSelectElement =>
  element(
    'select',
    ...values.map(([value, text]) => element('option', { value, selected: value === chosen }, text)),
  );
