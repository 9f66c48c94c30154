import { asBuffer } from './encoding.ts';

/** Replacement of the bytes `[start, end)` of a text. */
export interface Edit {
  readonly start: number;
  readonly end: number;
  readonly bytes: Uint8Array;
}

export const replaceWith = (start: number, end: number, text: string): Edit => ({
  start,
  end,
  bytes: Buffer.from(text, 'utf8'),
});

export const insertAt = (at: number, text: string): Edit => replaceWith(at, at, text);

/**
 * Sorts edits by start. At the same start, insertions come first; otherwise the order given is kept.
 *
 * @throws Error when two edits overlap, which is a defect.
 */
export function orderEdits(edits: readonly Edit[]): readonly Edit[] {
  const ordered = edits
    .map((edit, index) => ({ edit, index }))
    .sort((a, b) => a.edit.start - b.edit.start || isRemoval(a.edit) - isRemoval(b.edit) || a.index - b.index)
    .map(({ edit }) => edit);
  for (let i = 1; i < ordered.length; i++) {
    if (ordered[i].start < ordered[i - 1].end) throw new Error(`Edits overlap at byte ${ordered[i].start}.`);
  }
  return ordered;
}

const isRemoval = (edit: Edit): number => Number(edit.end > edit.start);

/** Returns the text with the edits made. The edits must be ordered by `orderEdits`. */
export function applyEdits(text: Uint8Array, edits: readonly Edit[]): Uint8Array {
  let from = 0;
  const pieces = edits.flatMap(({ start, end, bytes }) => {
    const kept = text.subarray(from, start);
    from = end;
    return [kept, bytes];
  });
  return Buffer.concat([...pieces, text.subarray(from)]);
}

/**
 * Returns a function that converts offsets in the input to offsets in the edited text. An offset at which
 * text is inserted becomes the end of that text. The offsets of successive calls must ascend.
 *
 * @param edits Edits as ordered by `orderEdits`.
 */
export function movedBy(edits: readonly Edit[]): (at: number) => number {
  let next = 0;
  let shift = 0;
  return (at) => {
    for (; next < edits.length && edits[next].end <= at; next++) {
      const { start, end, bytes } = edits[next];
      shift += bytes.length - (end - start);
    }
    return at + shift;
  };
}

/** True when undoing the edits in `edited` gives `text`, byte for byte. */
export function isUndone(text: Uint8Array, edits: readonly Edit[], edited: Uint8Array): boolean {
  const whole = asBuffer(edited);
  let from = 0;
  let to = 0;
  for (const { start, end, bytes } of edits) {
    if (!standsAt(whole, to, text, from, start)) return false;
    to += start - from;
    if (!standsAt(whole, to, bytes, 0, bytes.length)) return false;
    to += bytes.length;
    from = end;
  }
  return text.length - from === edited.length - to && standsAt(whole, to, text, from, text.length);
}

const standsAt = (whole: Buffer, at: number, bytes: Uint8Array, start: number, end: number): boolean =>
  at + end - start <= whole.length && whole.compare(bytes, start, end, at, at + end - start) === 0;
