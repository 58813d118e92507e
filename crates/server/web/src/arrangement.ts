// How the parts stand: formed and in place, drawn apart, or bent part-way; one place says so for all instruments.

import { Box3 } from 'three';
import type { Part } from './body';
import type { BodyView } from './body-view';

/** What the bending gauge bends, and how far it points: 0 flat, 1 formed. */
export interface Bending {
  /** One plate, or nothing for the whole kit in its order of assembly. */
  plate: string | null;
  stage: number;
}

const clamp = (x: number): number => Math.min(1, Math.max(0, x));

/** Stages at which a plate is measured for the room that it takes on its way. */
const PROBES = [0, 0.25, 0.5, 0.75];

export class Arrangement {
  private apart = 0;
  private bending: Bending | null = null;
  /** Step of each part in the order of assembly, from 0, fittings last. */
  private stepOf = new Map<string, number>();
  private steps = 1;

  constructor(private readonly body: BodyView) {}

  /** Another body stands on the sheet. */
  renew(): void {
    const parts = this.body.parts();
    const plates = parts.filter((part) => part.step > 0);
    const last = plates.reduce((most, part) => Math.max(most, part.step), 0);
    // Fittings leave first, so they come on last; those that leave together come on together.
    const starts = [...new Set(parts.filter((part) => part.step === 0).map((part) => part.leave?.start_s ?? 0))].sort((a, b) => b - a);
    this.stepOf = new Map(parts.map((part) => [part.id, part.step > 0 ? part.step - 1 : last + starts.indexOf(part.leave?.start_s ?? 0)]));
    this.steps = Math.max(1, last + starts.length);
    this.makeRoom();
    this.apply();
  }

  get kitSteps(): number {
    return this.steps;
  }

  /** The part that is in hand at a stage of the whole kit, if a step has one. */
  inHand(stage: number): string | null {
    const step = Math.min(this.steps - 1, Math.floor(stage * this.steps));
    return [...this.stepOf].find(([, own]) => own === step)?.[0] ?? null;
  }

  setApart(share: number): void {
    const before = this.apart > 0;
    this.apart = clamp(share);
    if (before !== this.apart > 0) this.makeRoom();
    this.apply();
  }

  setBending(bending: Bending | null): void {
    const before = this.bending;
    this.bending = bending;
    if ((before === null) !== (bending === null) || before?.plate !== bending?.plate) this.makeRoom();
    this.apply();
  }

  private apply(): void {
    this.body.arrange(
      (part) => this.lambdaOf(part),
      (part) => this.awayOf(part),
    );
  }

  /** How far the whole kit has come with a part: first half to form it, second half to bring it to its place. */
  private progress(part: Part): number {
    if (!this.bending) return 1;
    return clamp(this.bending.stage * this.steps - (this.stepOf.get(part.id) ?? 0));
  }

  private lambdaOf(part: Part): number {
    if (!this.bending) return 1;
    if (this.bending.plate !== null) return part.id === this.bending.plate ? this.bending.stage : 1;
    return clamp(2 * this.progress(part));
  }

  private awayOf(part: Part): number {
    const { leave } = part;
    if (!leave) return 0;
    const byHand = clamp((this.apart * this.body.apart_s - leave.start_s) / Math.max(leave.takes_s, 1e-6));
    const kit = this.bending && this.bending.plate === null ? 1 - clamp(2 * this.progress(part) - 1) : 0;
    return Math.max(byHand, kit);
  }

  /** Tells the eye how much room parts are going to take, so that it need not follow while they move. */
  private makeRoom(): void {
    const reach = new Map<string, Box3>();
    const kit = this.bending !== null && this.bending.plate === null;
    for (const part of this.body.parts()) {
      const bends = kit || this.bending?.plate === part.id;
      const leaves = kit || this.apart > 0;
      if (!bends && !leaves) continue;
      const box = part.bounds.clone();
      if (bends && part.bend) box.union(roomOfBend(part, kit ? [0] : PROBES));
      if (leaves && part.leave) box.union(box.clone().translate(part.leave.by));
      reach.set(part.id, box);
    }
    this.body.setReach(reach);
  }
}

function roomOfBend(part: Part, stages: number[]): Box3 {
  const { bend } = part;
  const box = new Box3();
  if (!bend) return box;
  const before = bend.lambda;
  const at = part.object.position.clone();
  part.object.position.set(0, 0, 0);
  part.object.updateMatrixWorld(true);
  for (const stage of stages) {
    bend.set(stage);
    for (const mesh of part.meshes) {
      mesh.geometry.computeBoundingBox();
      if (mesh.geometry.boundingBox) box.union(mesh.geometry.boundingBox);
    }
  }
  bend.set(before);
  part.object.position.copy(at);
  return box;
}
