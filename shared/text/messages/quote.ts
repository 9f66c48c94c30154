/** Longest piece of a file quoted in a message, characters. */
const LONGEST_QUOTE = 60;

/** A value as quoted in a message: shortened, control characters and no-break spaces made visible. */
export function quote(text: string): string {
  const short = text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE)}...` : text;
  return JSON.stringify(short).replaceAll('\u00a0', '\\u00a0');
}
