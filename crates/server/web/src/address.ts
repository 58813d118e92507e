// What is shown is written behind the # of the address, so that a reload or a passed-on address shows the same.

import { isViewName, type ViewName } from './standard-views';

export interface Shown {
  model: string;
  scale: string;
  wheels: string;
  variant: string;
  rivets: boolean;
  plate: string;
  view: ViewName | 'turned';
}

export const SCALES = ['4mm', '7mm'] as const;
export const WHEELS = ['oo', 'em', 'p4', 'fine', 'exact'] as const;

const among = (words: readonly string[], word: string | null): string => (word && words.includes(word) ? word : '');

export function readAddress(hash: string): Shown {
  const words = new URLSearchParams(hash.replace(/^#/, ''));
  const view = words.get('view') ?? '';
  return {
    model: words.get('model') ?? '',
    scale: among(SCALES, words.get('scale')),
    wheels: among(WHEELS, words.get('wheels')),
    variant: words.get('variant') ?? '',
    rivets: words.get('rivets') === 'on',
    plate: words.get('plate') ?? '',
    view: isViewName(view) ? view : 'isometric',
  };
}

export function writeAddress(shown: Shown): void {
  const words = new URLSearchParams();
  if (shown.model) words.set('model', shown.model);
  if (shown.scale) words.set('scale', shown.scale);
  if (shown.wheels) words.set('wheels', shown.wheels);
  if (shown.variant) words.set('variant', shown.variant);
  if (shown.rivets) words.set('rivets', 'on');
  if (shown.plate) words.set('plate', shown.plate);
  if (shown.view !== 'turned') words.set('view', shown.view);
  history.replaceState(null, '', `#${words.toString()}`);
}
