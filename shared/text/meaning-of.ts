/** What each word means, from the words for each meaning, separated by blanks. */
export const meaningOf = <M extends string>(
  words: Readonly<Partial<Record<M, string>>>,
): ReadonlyMap<string, M> =>
  new Map(
    Object.entries<string | undefined>(words).flatMap(([meaning, texts = '']) =>
      texts.split(' ').map((word): [string, M] => [word, meaning as M]),
    ),
  );
