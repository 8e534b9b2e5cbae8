// Asking the desk's server. The token comes with the address the desk printed, and is kept for the next time.
import type { Chart, Choices, Conflict, Problem } from './api.ts';

const KEPT = 'stillhand-token';
const LONGEST_REST = 5; // seconds that a request waits when the desk asks for it (our judgement)

export class Refused extends Error {
  constructor(readonly status: number, readonly problem: Problem) {
    super(problem.error);
  }
}
// No answer at all: the desk has ended.
export class Gone extends Error {}

function takeToken(): string {
  const given = location.hash.slice(1);
  if (/^[0-9a-f]{64}$/.test(given)) {
    localStorage.setItem(KEPT, given);
    history.replaceState(null, '', location.pathname);
    return given;
  }
  return localStorage.getItem(KEPT) ?? '';
}
const token = takeToken();

// Tells this window's own events from others'.
export const windowId = crypto.randomUUID();

async function send(method: string, path: string, body?: unknown, signal?: AbortSignal, keepalive = false, rested = false): Promise<Response> {
  const headers: Record<string, string> = { Authorization: `Bearer ${token}` };
  if (body !== undefined) headers['Content-Type'] = 'application/json';
  const text = body === undefined ? undefined : JSON.stringify(body);
  let response: Response;
  try {
    // What outlives the page has 64 KiB at most (Fetch Standard, WHATWG): a longer text is sent without.
    const outlives = keepalive && new Blob([text ?? '']).size < 60_000;
    response = await fetch(path, { method, headers, keepalive: outlives, ...(text === undefined ? {} : { body: text }), ...(signal ? { signal } : {}) });
  } catch (reason) {
    if (signal?.aborted) throw reason;
    throw new Gone('the desk does not answer');
  }
  if (response.ok) return response;
  // The desk asks for a moment's rest: once, unless the page is closing.
  const rest = Number(response.headers.get('Retry-After'));
  if (response.status === 429 && rest > 0 && !rested && !keepalive) {
    await new Promise((wake) => setTimeout(wake, 1000 * Math.min(rest, LONGEST_REST)));
    return send(method, path, body, signal, keepalive, true);
  }
  const problem = (await response.json().catch(() => ({ error: 'the desk gave no reason', remedy: '' }))) as Problem;
  throw new Refused(response.status, problem);
}

export async function ask<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  return (await (await send(body === undefined ? 'GET' : 'POST', path, body, signal)).json()) as T;
}
export async function remove<T>(path: string): Promise<T> {
  return (await (await send('DELETE', path)).json()) as T;
}
export async function bytes(path: string): Promise<ArrayBuffer> {
  return (await send('GET', path)).arrayBuffer();
}

export const chartPath = (name: string): string => `/api/charts/${encodeURIComponent(name)}`;
export const readChart = (name: string): Promise<Chart> => ask<Chart>(chartPath(name));

export async function saveChart(name: string, text: string, base: string | null, last = false): Promise<{ revision: string } | Conflict> {
  try {
    const answer = await send('PUT', chartPath(name), { text, base, window: windowId }, undefined, last);
    return (await answer.json()) as { revision: string };
  } catch (reason) {
    if (reason instanceof Refused && reason.status === 409) return reason.problem as Conflict;
    throw reason;
  }
}
export async function saveChoices(name: string, choices: Choices): Promise<void> {
  await send('PUT', `${chartPath(name)}/choices`, choices);
}

// Reads the desk's events until the page closes; begins again where the stream breaks.
export function listen(hear: (kind: string, data: unknown) => void, reached: (there: boolean) => void): void {
  const read = async (): Promise<void> => {
    const response = await send('GET', `/api/events?window=${windowId}`);
    reached(true);
    const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
    let rest = '';
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      rest += value;
      for (let end = rest.indexOf('\n\n'); end >= 0; end = rest.indexOf('\n\n')) {
        const lines = rest.slice(0, end).split('\n');
        rest = rest.slice(end + 2);
        const kind = lines.find((line) => line.startsWith('event: '))?.slice(7);
        const data = lines.find((line) => line.startsWith('data: '))?.slice(6);
        if (kind && data) hear(kind, JSON.parse(data));
      }
    }
  };
  const again = async (): Promise<void> => {
    for (;;) {
      await read().catch((reason: unknown) => {
        if (reason instanceof Refused) reached(true);
      });
      reached(false);
      await new Promise((wake) => setTimeout(wake, 1000));
    }
  };
  void again();
}

export function inWords(reason: unknown): string {
  if (reason instanceof Refused) return reason.problem.remedy ? `${capital(reason.problem.error)}. ${capital(reason.problem.remedy)}.` : `${capital(reason.problem.error)}.`;
  if (reason instanceof Gone) return 'The desk does not answer. Start it again: this page goes on where it was.';
  return reason instanceof Error ? reason.message : String(reason);
}
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
