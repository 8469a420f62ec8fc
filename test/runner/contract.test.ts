/**
 * One contract for every runner: in this thread, and across a real message channel that clones and transfers as a worker's
 * port does.
 */
import { MessageChannel, type MessagePort } from 'node:worker_threads'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { type Steps, sideBySide } from '../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../src/core/geometry/mesh'
import { Refused } from '../../src/core/geometry/trouble'
import type { Host } from '../../src/runner/drive'
import { runHere } from '../../src/runner/run-here'
import { runInWorkers, type WorkerLink } from '../../src/runner/run-in-worker'
import type { Runner } from '../../src/runner/runner'
import { type FromWorker, serve, type ToWorker } from '../../src/runner/serve'
import type { KernelName, Kernels, RequestOf } from '../../src/runner/step-map'

const host: Host = { giveWay: () => new Promise((resolve) => setImmediate(resolve)), now: () => performance.now() }

/** What the test kernels are asked: not what the real steps take, hence the casts, kept in this file. */
interface Ask {
  readonly does: 'count' | 'refuse' | 'break' | 'forever' | 'mesh' | 'total' | 'pieces' | 'square' | 'catch'
  readonly mesh?: Mesh
  readonly pieces?: readonly Ask[]
  readonly number?: number
}

/** How many pieces each far side has done, so that sharing can be told from doing it all alone. */
const doneBy = new Map<number, number>()

function* kernel(request: unknown, side = 0): Steps<unknown> {
  const { does, mesh, pieces, number } = request as Ask
  const piece = { name: 'analysis', run: (r: Ask) => kernel(r, side) }
  if (does === 'pieces') return { answers: yield* sideBySide(0, 1, 'pieces', piece, pieces!) }
  if (does === 'catch') {
    try {
      return yield* sideBySide(0, 1, 'pieces', piece, pieces!)
    } catch (error) {
      if (!(error instanceof Refused)) throw error
      return { caught: error.refusal.code }
    }
  }
  if (does === 'square') {
    doneBy.set(side, (doneBy.get(side) ?? 0) + 1)
    // Long enough that the other side has heard of it.
    for (let i = 0; i < 4; i++) {
      const end = performance.now() + 15
      while (performance.now() < end);
      yield i / 4
    }
    return number! ** 2
  }
  if (does === 'refuse') throw new Refused('file-damaged', 'cut.stl: ends early; fetch it again.')
  if (does === 'break') throw new Error('scan: a defect for the test')
  if (does === 'mesh') return { mesh: triangle(7) }
  if (does === 'total') return { total: mesh!.positions.reduce((a, b) => a + b, 0), same: mesh }
  for (let i = 0; does === 'forever' || i < 40; i++) {
    const end = performance.now() + 5
    while (performance.now() < end);
    yield { fraction: does === 'forever' ? 0.5 : i / 40, label: 'counting' }
  }
  return { counted: 40 }
}

const kernelsOf = (side: number) => new Proxy({}, { get: () => (request: unknown) => kernel(request, side) }) as Kernels
const kernels = kernelsOf(0)
const triangle = (x: number) =>
  makeMesh('job', new Float32Array([0, 0, 0, x, 0, 0, 0, 1, 0]), new Uint32Array([0, 1, 2]))

let sides = 0

/** Counts how many meshes really crossed, so that “once” can be asserted. */
let crossed = 0

function channelLink(): WorkerLink {
  const { port1, port2 } = new MessageChannel()
  const listen = <T>(port: MessagePort, receive: (message: T) => void) => port.on('message', (m: T) => receive(m))
  serve(
    { post: (m) => port2.postMessage(m), listen: (receive) => listen<ToWorker>(port2, receive) },
    host,
    kernelsOf(++sides),
  )
  return {
    post: (m) => {
      if (m.kind === 'run' && 'positions' in ((m.request as Ask).mesh ?? {})) crossed++
      port1.postMessage(m)
    },
    onMessage: (receive) => listen<FromWorker>(port1, receive),
    onDeath: () => {},
    end: () => {
      port1.close()
      port2.close()
    },
  }
}

const runners: Record<string, () => Runner> = {
  'in this thread': () => runHere(host, kernels),
  'across a message channel': () => runInWorkers(channelLink, 2),
}

describe.each(Object.keys(runners))('runner %s', (name) => {
  let runner: Runner = runners[name]!()
  afterEach(() => {
    runner.dispose()
    runner = runners[name]!()
  })
  const run = (ask: Ask, options = {}) =>
    runner.run('scan' as KernelName, ask as unknown as RequestOf<KernelName>, options)

  it('answers with the value', async () => {
    expect(await run({ does: 'count' })).toEqual({ ok: true, value: { counted: 40 } })
  })

  it('reports progress that never falls', async () => {
    const seen: number[] = []
    await run({ does: 'count' }, { onProgress: (p: { fraction: number; label: string }) => seen.push(p.fraction) })
    expect(seen.length).toBeGreaterThan(1)
    expect([...seen].sort((a, b) => a - b)).toEqual(seen)
  })

  it('hands a refusal on untouched', async () => {
    expect(await run({ does: 'refuse' })).toEqual({
      ok: false,
      refusal: { code: 'file-damaged', message: 'cut.stl: ends early; fetch it again.' },
    })
  })

  it('rejects on a defect, and works again afterwards', async () => {
    await expect(run({ does: 'break' })).rejects.toThrow('a defect for the test')
    expect(await run({ does: 'count' })).toMatchObject({ ok: true })
  })

  it('settles as cancelled within 200 ms', async () => {
    const stop = new AbortController()
    let asked = 0
    const outcome = await run(
      { does: 'forever' },
      {
        signal: stop.signal,
        onProgress: () => {
          asked ||= performance.now()
          stop.abort()
        },
      },
    )
    expect(outcome).toMatchObject({ ok: false, refusal: { code: 'cancelled' } })
    // A promise of the design, not a benchmark: the clock is what is promised here.
    expect(performance.now() - asked).toBeLessThan(200)
  })

  it('does not begin what was cancelled before', async () => {
    const stop = new AbortController()
    stop.abort()
    expect(await run({ does: 'forever' }, { signal: stop.signal })).toMatchObject({ ok: false })
  })

  it('settles what is going on when it is disposed', async () => {
    const going = run({ does: 'forever' }, { onProgress: () => runner.dispose() })
    expect(await going).toMatchObject({ ok: false, refusal: { code: 'cancelled' } })
  })

  it('keeps two runs apart', async () => {
    const [a, b] = await Promise.all([run({ does: 'count' }), run({ does: 'mesh' })])
    expect(a).toMatchObject({ ok: true, value: { counted: 40 } })
    expect(b).toMatchObject({ ok: true, value: { mesh: { id: triangle(7).id } } })
  })
})

describe.each(Object.keys(runners))('pieces offered by a kernel, %s', (name) => {
  let runner: Runner = runners[name]!()
  afterEach(() => {
    runner.dispose()
    runner = runners[name]!()
  })
  const run = (ask: Ask, options = {}) =>
    runner.run('scan' as KernelName, ask as unknown as RequestOf<KernelName>, options)
  const squares = Array.from({ length: 6 }, (_, number): Ask => ({ does: 'square', number }))

  it('come back in order, whoever did them', async () => {
    doneBy.clear()
    expect(await run({ does: 'pieces', pieces: squares })).toEqual({
      ok: true,
      value: { answers: [0, 1, 4, 9, 16, 25] },
    })
    // Both far sides took a share; in this thread there is only the one.
    expect(doneBy.size).toBe(name === 'in this thread' ? 1 : 2)
  })

  it('may offer pieces themselves', async () => {
    const inner: Ask = { does: 'pieces', pieces: squares.slice(0, 3) }
    expect(await run({ does: 'pieces', pieces: [inner, inner] })).toEqual({
      ok: true,
      value: { answers: [{ answers: [0, 1, 4] }, { answers: [0, 1, 4] }] },
    })
  })

  it('refuse the whole with the words of the first that refuses', async () => {
    const pieces: Ask[] = [squares[2]!, { does: 'refuse' }, { does: 'refuse' }]
    expect(await run({ does: 'pieces', pieces })).toMatchObject({ ok: false, refusal: { code: 'file-damaged' } })
    expect(await run({ does: 'catch', pieces })).toEqual({ ok: true, value: { caught: 'file-damaged' } })
  })

  it('fail the whole on a defect', async () => {
    await expect(run({ does: 'pieces', pieces: [squares[2]!, squares[3]!, { does: 'break' }] })).rejects.toThrow(
      'a defect for the test',
    )
    expect(await run({ does: 'count' })).toMatchObject({ ok: true })
  })

  it('stop with the whole', async () => {
    const stop = new AbortController()
    const pieces: Ask[] = [{ does: 'forever' }, { does: 'forever' }, { does: 'forever' }]
    const outcome = await run({ does: 'pieces', pieces }, { signal: stop.signal, onProgress: () => stop.abort() })
    expect(outcome).toMatchObject({ ok: false, refusal: { code: 'cancelled' } })
    // Every hand is free again.
    expect(await Promise.all([run({ does: 'count' }), run({ does: 'count' })])).toMatchObject([
      { ok: true },
      { ok: true },
    ])
  })
})

describe('large meshes', () => {
  it('cross once, and not at all when the other side made them', async () => {
    crossed = 0
    const runner = runInWorkers(channelLink, 1)
    const ask = (a: Ask) => runner.run('scan' as KernelName, a as unknown as RequestOf<KernelName>)
    const mine = triangle(3)
    expect(await ask({ does: 'total', mesh: mine })).toMatchObject({ ok: true, value: { total: 4 } })
    expect(await ask({ does: 'total', mesh: mine })).toMatchObject({ ok: true, value: { total: 4, same: mine } })
    expect(crossed).toBe(1)
    const made = await ask({ does: 'mesh' })
    if (!made.ok) throw new Error('not made')
    const theirs = (made.value as unknown as { mesh: Mesh }).mesh
    expect(await ask({ does: 'total', mesh: theirs })).toMatchObject({ ok: true, value: { total: 8 } })
    expect(crossed).toBe(1)
    runner.dispose()
  })

  it('are there once for all threads where memory may be shared, and copied where it may not', async () => {
    const made = async () => {
      const runner = runInWorkers(channelLink, 1)
      const outcome = await runner.run('scan' as KernelName, { does: 'mesh' } as unknown as RequestOf<KernelName>)
      runner.dispose()
      if (!outcome.ok) throw new Error('not made')
      return (outcome.value as unknown as { mesh: Mesh }).mesh
    }
    const shared = await made()
    expect(shared.positions.buffer).toBeInstanceOf(SharedArrayBuffer)
    expect(shared.indices.buffer).toBeInstanceOf(SharedArrayBuffer)
    vi.stubGlobal('crossOriginIsolated', false)
    const copied = await made()
    vi.unstubAllGlobals()
    expect(copied.positions.buffer).toBeInstanceOf(ArrayBuffer)
    expect(Array.from(copied.positions)).toEqual(Array.from(shared.positions))
    expect(Array.from(copied.indices)).toEqual(Array.from(shared.indices))
  })
})

describe('a worker that dies', () => {
  it('fails what ran there, says why, and the next run gets a fresh one', async () => {
    const deaths: ((why: string) => void)[] = []
    const dying = runInWorkers(() => ({ ...channelLink(), onDeath: (receive) => deaths.push(receive) }), 1)
    const run = (ask: Ask) => dying.run('scan' as KernelName, ask as unknown as RequestOf<KernelName>)
    const going = run({ does: 'forever' })
    deaths[0]!('out of memory')
    await expect(going).rejects.toThrow('the worker died: out of memory')
    expect(await run({ does: 'count' })).toEqual({ ok: true, value: { counted: 40 } })
    expect(deaths).toHaveLength(2)
    dying.dispose()
  })
})
