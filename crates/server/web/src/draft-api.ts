// Texts that are being edited, as they are sent and saved.

import { ask, model, query, type Problem, type Reading } from './api';
import { setDraft } from './draft-name';
import type { Field } from './field';

export interface Draft {
  draft: string;
  fields: Field[];
  problem: Problem | null;
  parts: { id: string; mark: string }[];
  /** How long the server built (ms). */
  took_ms: number;
}

/** What a change touches; only what is shown of it. */
export interface Difference {
  same: boolean;
  inputs: { name: string; before_mm: number | null; after_mm: number | null }[];
  plates: { plate: string; title: string; change: string; outline_moved_mm: number; body_moved_mm: number }[];
  joints: { joint: string; change: string; before: Gap | null; after: Gap | null }[];
  findings: { severity: string; change: string; sentence: string; before_mm: number | null; after_mm: number | null }[];
  sheets: { metal: string; thickness_mm: number; etch_again: boolean }[];
}

interface Gap {
  gap_mm: number;
}

export interface ModelText {
  text: string;
  /** Names the text that a save replaces. */
  tag: string;
}

const TOML = { 'Content-Type': 'text/plain; charset=utf-8' };

/** The words of the query that a text is read with, whatever draft is set. */
function withoutDraft(reading: Reading): string {
  const words = new URLSearchParams(query(reading).slice(1));
  words.delete('draft');
  const text = words.toString();
  return text ? `?${text}` : '';
}

export async function fetchText(name: string): Promise<ModelText> {
  const answer = await ask(model(name));
  return { text: await answer.text(), tag: answer.headers.get('ETag') ?? '' };
}

export async function sendDraft(reading: Reading, text: string): Promise<Draft> {
  const path = `${model(reading.model)}/drafts${withoutDraft(reading)}`;
  const answer = await ask(path, { method: 'POST', headers: TOML, body: text });
  const took = /dur=([\d.]+)/.exec(answer.headers.get('Server-Timing') ?? '')?.[1];
  return { ...((await answer.json()) as Omit<Draft, 'took_ms'>), took_ms: Number(took ?? 0) };
}

/** Some parts of a draft, for looking at. */
export async function fetchParts(reading: Reading, draft: string, parts: string[], rivets: boolean, still: boolean): Promise<ArrayBuffer> {
  const words = new URLSearchParams(withoutDraft(reading).slice(1));
  if (draft) words.set('draft', draft);
  words.set('rivets', rivets ? 'on' : 'off');
  if (still) words.set('still', 'on');
  words.set('parts', parts.join(','));
  return (await ask(`${model(reading.model)}/preview.glb?${words.toString()}`)).arrayBuffer();
}

export async function fetchDifference(reading: Reading, draft: string, signal: AbortSignal): Promise<Difference> {
  const words = new URLSearchParams(withoutDraft(reading).slice(1));
  words.set('draft', draft);
  if (reading.variant) words.set('from_variant', reading.variant);
  return (await (await ask(`${model(reading.model)}/difference?${words.toString()}`, { signal })).json()) as Difference;
}

/** Writes the file; gives the tag of what stands there then. */
export async function saveText(name: string, text: string, tag: string): Promise<string> {
  const answer = await ask(model(name), { method: 'PUT', headers: { ...TOML, 'If-Match': tag }, body: text });
  setDraft(name, '');
  return answer.headers.get('ETag') ?? '';
}
