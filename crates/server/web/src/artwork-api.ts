// Drawn artwork: what the server finds when it holds it against the body. The drawing is sent, and kept nowhere.

import { ask, model, query, type Finding, type Reading } from './api';

export interface HoleDrawn {
  feature: string;
  meant_mm: [number, number];
  drawn_mm: [number, number];
  off_mm: number;
  meant_size_mm: number;
  drawn_size_mm: number;
}

export interface PlateDrawn {
  plate: string;
  told_by: string;
  name_on_drawing: string | null;
  worst_deviation_mm: number;
  worst_at_mm: [number, number];
  edges: { edge: string; drawn_mm: number | null; meant_mm: number; difference_mm: number | null }[];
  holes: HoleDrawn[];
  missing: string[];
  extra: { at_mm: [number, number]; size_mm: number }[];
  drawn_outline_mm: [number, number][];
}

export interface Fault {
  cause: Finding;
  follows: Finding[];
}

export interface Report {
  per_plate: PlateDrawn[];
  not_drawn: string[];
  findings: Finding[];
  test_build: { verdict: string; fit_to_etch: boolean; faults: Fault[] };
}

/** A drawing with its side file, if it has one. */
export interface Drawing {
  name: string;
  bytes: Blob;
  side: string | null;
}

const MEDIA: Record<string, string> = { dxf: 'image/vnd.dxf', svg: 'image/svg+xml' };

async function send(reading: Reading, drawing: Drawing, what: string, signal: AbortSignal): Promise<Response> {
  const words = new URLSearchParams(query(reading).slice(1));
  if (drawing.side !== null) words.set('side_file', drawing.side);
  const ending = drawing.name.split('.').pop()?.toLowerCase() ?? '';
  const headers = { 'Content-Type': MEDIA[ending] ?? 'application/octet-stream' };
  const own = words.toString();
  const path = `${model(reading.model)}/artwork-check${what}${own ? `?${own}` : ''}`;
  return ask(path, { method: 'POST', headers, body: drawing.bytes, signal });
}

export async function checkDrawing(reading: Reading, drawing: Drawing, signal: AbortSignal): Promise<Report> {
  return (await (await send(reading, drawing, '', signal)).json()) as Report;
}

export async function fetchAsDrawn(reading: Reading, drawing: Drawing, signal: AbortSignal): Promise<ArrayBuffer> {
  return (await send(reading, drawing, '/as-drawn.glb', signal)).arrayBuffer();
}

export async function fetchReport(reading: Reading, drawing: Drawing, signal: AbortSignal): Promise<Blob> {
  return (await send(reading, drawing, '/report.html', signal)).blob();
}
