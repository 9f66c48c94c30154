const NUMBERS = 'one two three four five six seven eight nine ten eleven twelve'.split(' ');
const NUMBER = String.raw`(\d{1,3}|${NUMBERS.join('|')})`;
const FISH = '(?:fish|bass|smallmouths?|largemouths?|smallies|keepers?|bites?|strikes?|hookups?)';
const NONE = new RegExp(
  String.raw`\b(?:(?:no|zero|0) ${FISH}|no catch|blank(?:ed)?|skunk(?:ed)?|nothing (?:here|home|there|biting)|caught (?:nothing|none|0))\b`,
);
const COUNTS = [
  new RegExp(
    String.raw`\b(?:caught|landed|boated|got|hooked) ${NUMBER}\b(?! ?(?:ft|feet|m|yd|lb|lbs|kg|oz|foot)\b|['"-])`,
  ),
  new RegExp(String.raw`(?<![\d.-])\b${NUMBER} (?:(?:good|nice|big|small|more) )?${FISH}\b`),
  /^\s*(\d{1,2}) ?f\b/,
];

/**
 * Finds the number of fish in a note: `caught 3 in 22` is 3, `no fish` is 0. Returns undefined for other
 * notes; `22 ft fish` and `fish 18-22` are depths.
 */
export function fishCountOf(note: string): number | undefined {
  const text = note.toLowerCase().replace(/\s+/g, ' ');
  for (const count of COUNTS) {
    const found = count.exec(text)?.[1];
    if (found === undefined) continue;
    const word = NUMBERS.indexOf(found);
    return word < 0 ? Number(found) : word + 1;
  }
  return NONE.test(text) ? 0 : undefined;
}
