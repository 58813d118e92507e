// Keys of the model file, and how a value is written there.

export interface FieldAt {
  line: number;
  column: number;
  /** Place of the value in the text, quotes included. */
  from: number;
  to: number;
}

export interface Opening {
  at: number;
  before: string;
  after: string;
}

export interface Field {
  path: string;
  kind: 'length' | 'model-length' | 'number' | 'word' | 'text';
  written: string | null;
  from: 'file' | 'variant' | 'default' | 'none';
  default: string | null;
  source: string | null;
  mm: number | null;
  full_size: string | null;
  least: number | null;
  most: number | null;
  zero: boolean;
  words: string[];
  at: FieldAt | null;
  opening: Opening | null;
}

/** A value as TOML writes it. Inches are often written with the sign of a quotation mark. */
export function asToml(kind: Field['kind'], value: string): string {
  if (kind === 'number' && value.trim() !== '') return value.trim();
  const plain = !/['\\\u0000-\u001f\u007f]/.test(value);
  return value.includes('"') && plain ? `'${value}'` : JSON.stringify(value);
}

/** Places behind an edit move with it; those that it covers keep to its ends. */
export function shifted(fields: Field[], at: number, removed: number, added: number): void {
  const end = at + removed;
  const move = (place: number): number => (place >= end ? place + added - removed : place);
  for (const field of fields) {
    if (field.opening) field.opening.at = move(field.opening.at);
    const own = field.at;
    if (!own) continue;
    own.from = move(own.from);
    own.to = move(own.to);
  }
}

/** A line that holds nothing but this key, with its end; nothing if more stands there. */
export function lineOf(text: string, at: FieldAt): { from: number; to: number } | null {
  const from = text.lastIndexOf('\n', at.from - 1) + 1;
  const end = text.indexOf('\n', at.to);
  const to = end < 0 ? text.length : end + 1;
  const before = text.slice(from, at.from);
  const behind = text.slice(at.to, to);
  return /^\s*[\w.-]+\s*=\s*$/.test(before) && /^\s*(#.*)?\r?\n?$/.test(behind) ? { from, to } : null;
}

/** What may stand there, in words. */
export function rangeWords(field: Field): string {
  switch (field.kind) {
    case 'length':
      return field.zero ? 'zero or above' : 'above zero';
    case 'model-length':
      return `${field.least} to ${field.most} mm on the model`;
    case 'number':
      return `${field.least} to ${field.most}`;
    case 'word':
      return field.words.join(', ');
    case 'text':
      return 'any words';
  }
}

/** "boiler.front_diameter" as a reader writes it; items of lists are counted from 1. */
export function keyWords(key: string): string {
  return key.replace(/\[(\d+)\]/g, (_, n: string) => ` ${Number(n) + 1}`).replace(/[_.-]/g, ' ').trim();
}

/** The sub-assembly of a key: what stands before its first dot; sheet and process by their scale. */
export function groupOf(path: string): string {
  if (path.startsWith('metal.')) return path.split('.').slice(0, 2).join('.');
  const cut = path.search(/[.[]/);
  return cut < 0 ? '' : path.slice(0, cut);
}
