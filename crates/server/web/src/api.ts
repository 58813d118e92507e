// What the server answers, and how it is asked. Lengths are millimetres of the model, as `_mm` says.

import { draftOf, sendAgain } from './draft-name';

export interface ModelEntry {
  name: string;
  title: string;
  railway: string;
  /** Why the model cannot be built, where the server knows it already. */
  problem?: Problem | null;
}

export interface Edge {
  name: string;
  flat_mm: number;
  formed_mm: number;
}

export interface Plate {
  id: string;
  assembly: string;
  title: string;
  metal: string;
  thickness_mm: number;
  formed: 'flat' | 'rolled';
  flat_area_mm2: number;
  edges: Edge[];
  holes: number;
  rivets: number;
}

/** A variant that the model file offers. */
export interface Variant {
  name: string;
  title: string;
}

export interface Assembly {
  id: string;
  title: string;
  plates: string[];
}

export interface PlateList {
  model: string;
  title: string;
  railway: string;
  scale: string;
  mm_per_foot: number;
  wheels: string;
  /** The variant that was asked for. */
  variant: string | null;
  variants: Variant[];
  assemblies: Assembly[];
  plates: Plate[];
}

/** A corner of an outline; `bulge` is tan(sweep / 4) of the arc to the next corner, positive counter-clockwise. */
export interface Vertex {
  x_mm: number;
  y_mm: number;
  bulge: number;
}

export interface Place {
  x_mm: number;
  y_mm: number;
}

export interface Hole {
  feature: string;
  outline: Vertex[];
}

export interface Region {
  purpose: string;
  face: 'outside' | 'inside';
  z_low_mm: number;
  z_high_mm: number;
  outline: Vertex[];
}

export interface Rivet extends Place {
  head_mm: number;
  row: string;
}

export interface Mark {
  name: string;
  from: Place;
  to: Place;
}

export interface NamedPoint extends Place {
  name: string;
}

/** A plate laid flat, seen from its outside face. */
export interface Flat {
  plate: string;
  scale: string;
  thickness_mm: number;
  outline: Vertex[];
  holes: Hole[];
  regions: Region[];
  rivets: Rivet[];
  marks: Mark[];
  points: NamedPoint[];
}

export type Severity = 'error' | 'warning' | 'note';

export interface Finding {
  path: string;
  rule: string;
  severity: Severity;
  found_mm: number | null;
  limit_mm: number | null;
  at: { plate: string | null; flat_mm: [number, number] | null; body_mm: [number, number, number] | null } | null;
  sentence: string;
  /** What the rule asks, and what would mend it. */
  asks?: string | null;
  mend?: string | null;
}

export interface ProblemPlace {
  path?: string | null;
  line?: number | null;
  column?: number | null;
  message: string;
  help?: string | null;
}

export interface Problem {
  type?: string;
  title: string;
  status?: number;
  detail?: string | null;
  errors?: ProblemPlace[];
}

/** The server's refusal, in its own words. */
export class Refusal extends Error {
  constructor(readonly problem: Problem) {
    super(problem.detail ?? problem.title);
  }
}

/** Which reading of the model file is asked for. An empty word leaves the choice to the model file. */
export interface Reading {
  model: string;
  scale: string;
  wheels: string;
  variant: string;
  rivets: boolean;
}

export function query(reading: Reading, rivets?: boolean): string {
  const words = new URLSearchParams();
  if (reading.scale) words.set('scale', reading.scale);
  if (reading.wheels) words.set('wheels', reading.wheels);
  if (reading.variant) words.set('variant', reading.variant);
  if (rivets !== undefined) words.set('rivets', rivets ? 'on' : 'off');
  const draft = draftOf(reading.model);
  if (draft) words.set('draft', draft);
  const text = words.toString();
  return text ? `?${text}` : '';
}

export async function ask(path: string, how: AbortSignal | RequestInit = {}, again = true): Promise<Response> {
  const options = how instanceof AbortSignal ? { signal: how } : how;
  let answer: Response;
  try {
    answer = await fetch(path, options);
  } catch (reason) {
    if (options.signal?.aborted) throw reason;
    throw new Refusal({ title: 'The server does not answer', detail: 'Start it again; this page waits for it.', status: 0 });
  }
  if (answer.ok) return answer;
  const problem = readProblem(await answer.text(), answer.status);
  // A server that was started anew knows no draft of before.
  if (problem.type === '/problems/draft' && again && (await sendAgain())) return ask(path, how, false);
  throw new Refusal(problem);
}

function readProblem(text: string, status: number): Problem {
  try {
    const parsed = JSON.parse(text) as Partial<Problem>;
    if (typeof parsed.title === 'string') return { ...parsed, title: parsed.title };
  } catch {
    // Not JSON: shown as the text that it is.
  }
  return { title: `The server answered ${status}`, detail: text.slice(0, 400), status };
}

export const model = (name: string): string => `/v1/models/${encodeURIComponent(name)}`;

export async function fetchModels(): Promise<ModelEntry[]> {
  const answer = await ask('/v1/models');
  return ((await answer.json()) as { models: ModelEntry[] }).models;
}

export async function fetchPlates(reading: Reading, signal: AbortSignal): Promise<PlateList> {
  return (await (await ask(`${model(reading.model)}/plates${query(reading)}`, signal)).json()) as PlateList;
}

export async function fetchBody(reading: Reading, signal: AbortSignal): Promise<ArrayBuffer> {
  return (await ask(`${model(reading.model)}/preview.glb${query(reading, reading.rivets)}`, signal)).arrayBuffer();
}

export async function fetchFlat(reading: Reading, plate: string, signal: AbortSignal): Promise<Flat> {
  const path = `${model(reading.model)}/plates/${encodeURIComponent(plate)}/flat.json${query(reading)}`;
  return (await (await ask(path, signal)).json()) as Flat;
}

export async function fetchFindings(reading: Reading, signal: AbortSignal): Promise<Finding[]> {
  const answer = await ask(`${model(reading.model)}/findings${query(reading)}`, signal);
  return ((await answer.json()) as { findings: Finding[] }).findings;
}

/** One side of a joint. */
export interface Side {
  plate: string;
  feature: string;
}

/** A meeting of two plates. */
export interface Joint {
  id: string;
  kind: 'edge' | 'tab' | 'hole' | 'face';
  a: Side;
  b: Side;
  gap_mm: number;
  range_mm: [number, number];
  limit_mm: [number, number];
  largest_contributor: string;
  at: [number, number, number];
}

/** Something that can be pointed at on a plate, flat and formed. */
export interface Feature {
  /** Unique on its plate: `edge:front`, `rivet:17`. */
  id: string;
  kind: 'edge' | 'hole' | 'bend' | 'rivet' | 'point';
  name: string;
  at?: { flat_mm: [number, number]; body_mm: [number, number, number] };
  runs: { flat_mm: [number, number][]; body_mm: [number, number, number][] }[];
  length_mm?: number;
  diameter_mm?: number;
  turn_deg?: number;
  radii_mm?: [number, number];
}

export async function fetchJoints(reading: Reading, signal: AbortSignal): Promise<Joint[]> {
  const answer = await ask(`${model(reading.model)}/joints${query(reading)}`, signal);
  return ((await answer.json()) as { joints: Joint[] }).joints;
}

export async function fetchFeatures(reading: Reading, plate: string): Promise<Feature[]> {
  const path = `${model(reading.model)}/plates/${encodeURIComponent(plate)}/features${query(reading)}`;
  return ((await (await ask(path)).json()) as { features: Feature[] }).features;
}
