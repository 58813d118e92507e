// A half cylinder of rigid strips, as files hold one: flat it is a plane, and on the way no strip is stretched.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import {
  AnimationClip,
  Bone,
  BufferAttribute,
  BufferGeometry,
  Matrix4,
  Quaternion,
  QuaternionKeyframeTrack,
  Skeleton,
  SkinnedMesh,
  Vector3,
  VectorKeyframeTrack,
} from 'three';
import { load, near } from './vite.mjs';

const { Bend } = await load('/src/strips.ts');

const RADIUS = 10;
const COUNT = 12;
const TURN = Math.PI / COUNT;
const CHORD = 2 * RADIUS * Math.sin(TURN / 2);

/** Ruling `k` of the half cylinder about x, which begins at the left and goes over the top. */
const ruling = (k) => new Vector3(0, RADIUS * Math.cos(k * TURN), RADIUS * Math.sin(k * TURN));

/** Strips hang one on the next from the first; each vertex of a strip stands on one of its rulings. */
function halfCylinder() {
  const bones = Array.from({ length: COUNT }, (_, k) => Object.assign(new Bone(), { name: `strip-${k}` }));
  const tracks = [];
  const inverses = [];
  const positions = [];
  const strips = [];
  bones.forEach((bone, k) => {
    const hinge = ruling(k);
    const before = k > 0 ? ruling(k - 1) : new Vector3();
    if (k > 0) bones[k - 1].add(bone);
    bone.position.copy(hinge.clone().sub(before));
    // Flat in the plane of the first strip: each strip is turned back about x by what its hinge turned.
    const turn = new Quaternion().setFromAxisAngle(new Vector3(1, 0, 0), k === 0 ? 0 : -TURN);
    tracks.push(new QuaternionKeyframeTrack(`${bone.name}.quaternion`, [0, 4], [...turn.toArray(), 0, 0, 0, 1]));
    tracks.push(new VectorKeyframeTrack(`${bone.name}.position`, [0, 4], [...bone.position.toArray(), ...bone.position.toArray()]));
    inverses.push(new Matrix4().makeTranslation(-hinge.x, -hinge.y, -hinge.z));
    for (const end of [ruling(k), ruling(k + 1)]) {
      for (const x of [0, 30]) {
        positions.push(x, end.y, end.z);
        strips.push(k);
      }
    }
  });
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(positions), 3));
  const mesh = new SkinnedMesh(geometry);
  mesh.skeleton = new Skeleton(bones, inverses);
  return { mesh, geometry, strips, clip: new AnimationClip('form', 4, tracks) };
}

const point = (geometry, k) => new Vector3().fromBufferAttribute(geometry.getAttribute('position'), k);

test('bent from formed to flat and back', () => {
  const { mesh, geometry, strips, clip } = halfCylinder();
  const formed = Float32Array.from(geometry.getAttribute('position').array);
  const bend = Bend.of(mesh, clip);
  bend.whenFirstBent(() => bend.carry(geometry, strips));
  near(bend.turn_deg, 180 - 15, 1e-2);

  bend.set(0);
  // The plane of the first strip: its normal is across x and its chord.
  const along = point(geometry, 2).sub(point(geometry, 0)).normalize();
  const normal = along.clone().cross(new Vector3(1, 0, 0));
  const start = point(geometry, 0);
  for (let k = 0; k < geometry.getAttribute('position').count; k += 1) {
    const off = point(geometry, k).sub(start);
    near(off.dot(normal), 0, 1e-4);
    // The strips lie side by side: each vertex as many chords on as its ruling.
    near(off.dot(along), (Math.floor(k / 4) + Math.floor((k % 4) / 2)) * CHORD, 1e-4);
  }

  for (const stage of [0.2, 0.5, 0.9]) {
    bend.set(stage);
    for (let k = 0; k + 3 < strips.length; k += 4) {
      near(point(geometry, k).distanceTo(point(geometry, k + 2)), CHORD, 1e-4);
      // A strip's last ruling is the first of the next.
      if (k + 4 < strips.length) near(point(geometry, k + 2).distanceTo(point(geometry, k + 4)), 0, 1e-4);
    }
    // Equal turns make a regular polyline: half bent, it is part of a circle twice as large.
    const far = point(geometry, strips.length - 2).distanceTo(point(geometry, 0));
    near(far, (CHORD * Math.sin((COUNT * TURN * stage) / 2)) / Math.sin((TURN * stage) / 2), 1e-3);
  }

  const follows = bend.follow(ruling(5));
  bend.set(1);
  assert.deepEqual(geometry.getAttribute('position').array, formed, 'formed again to the last bit');
  assert.ok(follows.distanceTo(ruling(5)) > 0.1);
  near(bend.follow(ruling(5)).distanceTo(ruling(5)), 0);
});
