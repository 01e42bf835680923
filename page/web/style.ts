/** How parts look: colour by Okabe and Ito, and never colour alone. */

interface Look { light: string; dark: string; dash: number[]; mark: 'circle' | 'square' | 'triangle' | 'diamond' | 'cross' }

const LOOKS: Look[] = [
  { light: '#0072b2', dark: '#56b4e9', dash: [], mark: 'circle' },
  { light: '#d55e00', dark: '#e69f00', dash: [9, 4], mark: 'square' },
  { light: '#007d5c', dark: '#2fc39b', dash: [2, 3], mark: 'triangle' },
  { light: '#a7537f', dark: '#dd9fc2', dash: [10, 3, 2, 3], mark: 'diamond' },
  { light: '#333333', dark: '#dddddd', dash: [5, 2], mark: 'cross' },
];

export const dark = (): boolean => matchMedia('(prefers-color-scheme: dark)').matches;

export const look = (part: number): Look => LOOKS[Math.max(part, 0) % LOOKS.length]!;

export const colour = (part: number): string => (dark() ? look(part).dark : look(part).light);

/** Colours of the page, by name. */
export function ink(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}

const MARKS: Record<Look['mark'], string> = {
  circle: 'M8 2a6 6 0 1 0 .01 0z',
  square: 'M2.5 2.5h11v11h-11z',
  triangle: 'M8 1.5 15 14H1z',
  diamond: 'M8 1l7 7-7 7-7-7z',
  cross: 'M6 1h4v5h5v4h-5v5H6v-5H1V6h5z',
};

/** The mark of a part, as the path of a figure 16 wide. */
export const mark = (part: number): string => MARKS[look(part).mark];
