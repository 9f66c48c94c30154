import { expect, test } from 'vitest';
import { defineWaypointPlugin } from '../../shared/index.ts';

const base = { name: 'typed', summary: 'Typed.', stage: 'waypoint', options: {} } as const;

test('returning a field that is not provided, or reading one that is not required, does not compile', () => {
  const undeclared = defineWaypointPlugin({
    ...base,
    requires: [],
    provides: ['depth'],
    // @ts-expect-error slope is not among the fields this plugin provides
    run: () => ({ depth: 3, slope: 4 }),
  });
  const unread = defineWaypointPlugin({
    ...base,
    requires: ['depth'],
    provides: ['slope'],
    // @ts-expect-error aspect is not among the fields this plugin requires
    run: ({ fields }) => ({ slope: fields.aspect }),
  });
  const wrongWord = defineWaypointPlugin({
    ...base,
    requires: [],
    provides: ['structure'],
    // @ts-expect-error reef is not a structure word
    run: () => ({ structure: 'reef' }),
  });
  const own = defineWaypointPlugin({
    ...base,
    requires: ['depth'],
    provides: [],
    fields: { fathoms: { type: 'number', unit: 'none', decimals: 1, help: 'Depth in fathoms.' } },
    run: ({ fields }) => ({ fathoms: fields.depth / 1.8288 }),
  });
  expect([undeclared, unread, wrongWord, own].map(({ stage }) => stage)).toEqual(Array(4).fill('waypoint'));
});
