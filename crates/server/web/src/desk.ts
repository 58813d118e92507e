// What the instruments ask of the office: they hold nothing of the model themselves.

import type { Reading } from './api';

export interface Desk {
  reading(): Reading;
  nameOf(id: string): string;
  pick(id: string): Promise<void>;
  say(text: string): void;
  mmPerFoot(): number;
}
