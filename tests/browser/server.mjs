// Starts the built binary over a copy of the demo models, or takes a server that runs already.

import { spawn } from 'node:child_process';
import { cp, mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));

async function freePort() {
  const probe = createServer();
  await new Promise((done) => probe.listen(0, '127.0.0.1', done));
  const { port } = probe.address();
  await new Promise((done) => probe.close(done));
  return port;
}

async function untilItAnswers(base, child) {
  for (let tries = 0; tries < 300; tries += 1) {
    if (child.exitCode !== null) throw new Error(`the server ended with status ${child.exitCode}`);
    const answer = await fetch(`${base}/v1/models`).catch(() => null);
    if (answer?.ok) return;
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error('the server did not answer within 30 s');
}

/**
 * `{ base, models, stop, kill, start }`: address, folder of model files that may be edited, how to end it; and, of a
 * server of our own, how to kill it and start it again at the same address.
 */
export async function takeServer() {
  const { BASE_URL, MODEL_DIR, PLATEWORK_BIN } = process.env;
  if (BASE_URL) {
    if (!MODEL_DIR) throw new Error('BASE_URL needs MODEL_DIR: a copy of the model files that the test may edit');
    return { base: BASE_URL.replace(/\/$/, ''), models: MODEL_DIR, stop: async () => undefined };
  }
  if (!PLATEWORK_BIN) throw new Error('set PLATEWORK_BIN to the built program, or BASE_URL and MODEL_DIR to a running server');
  const models = await mkdtemp(join(tmpdir(), 'platework-models-'));
  await cp(process.env.DEMO_MODELS ?? resolve(here, '../../demo-models'), models, { recursive: true });
  const port = await freePort();
  const base = `http://127.0.0.1:${port}`;
  let child = null;
  const gone = () => new Promise((done) => (child.exitCode === null && child.signalCode === null ? child.once('exit', done) : done()));
  const start = async () => {
    child = spawn(PLATEWORK_BIN, ['serve', models, '--listen', `127.0.0.1:${port}`], { stdio: ['ignore', 'inherit', 'inherit'] });
    await untilItAnswers(base, child);
  };
  const kill = async () => {
    child.kill('SIGKILL');
    await gone();
  };
  const stop = async () => {
    child.kill('SIGTERM');
    const late = new Promise((done) => setTimeout(done, 3000).unref());
    await Promise.race([gone(), late]);
    if (child.exitCode === null) child.kill('SIGKILL');
    await rm(models, { recursive: true, force: true });
  };
  try {
    await start();
  } catch (reason) {
    await stop();
    throw reason;
  }
  return { base, models, stop, kill, start };
}
