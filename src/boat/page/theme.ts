import type { Theme } from '../colors.ts';

export const themeNow = (): Theme => (matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light');
