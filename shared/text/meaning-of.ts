/** Maps each word to its meaning. @param words For each meaning, its words, separated by spaces. */
export const meaningOf = <M extends string>(
  words: Readonly<Partial<Record<M, string>>>,
): ReadonlyMap<string, M> =>
  new Map(
    Object.entries<string | undefined>(words).flatMap(([meaning, texts = '']) =>
      texts.split(' ').map((word): [string, M] => [word, meaning as M]),
    ),
  );
