export type Theme = 'light' | 'dark';

/**
 * Tints from shallow to deep: white to blue in light mode, blue to black in dark mode. Neighbors have a
 * contrast of at least 1.27 : 1, enough to tell them apart in the sun. Isobaths (`ink`) have at least 3 : 1
 * with every tint.
 */
export const TINTS: Readonly<Record<Theme, readonly string[]>> = {
  light: ['#f2f8fc', '#c6def3', '#9dc7ea', '#75b0e1', '#509cd9', '#3c88c7', '#2e73b2', '#21629e'],
  dark: ['#4c9ad8', '#3a86c5', '#2d72b1', '#20619d', '#144e8a', '#083d76', '#062c56', '#03172d'],
};

export const INKS = {
  light: {
    ink: '#000',
    paper: '#fff',
    route: '#8a0050',
    closed: '#b00000',
    slow: '#6b3a00',
    boat: '#005a1c',
    blank: '#fff',
    hatch: '#8a7f6a',
  },
  dark: {
    ink: '#fff',
    paper: '#000',
    route: '#ff9ad5',
    closed: '#ff8a80',
    slow: '#ffc46b',
    boat: '#7dff9b',
    blank: '#000',
    hatch: '#6b6353',
  },
} as const;
