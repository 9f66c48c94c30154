/** Longest piece of a file that is quoted in a message, characters. */
const LONGEST_QUOTE = 60;

/** A value quoted in a message: shortened, with control characters and no-break spaces made visible. */
export function quote(text: string): string {
  const short = text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE)}...` : text;
  return JSON.stringify(short).replaceAll('\u00a0', '\\u00a0');
}
