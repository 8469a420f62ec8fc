import { Refused } from '../core/geometry/trouble'

/** Exit statuses of every command. */
export const EXIT = { done: 0, defect: 1, bad: 2, holds: 3 } as const

export const say = (line: string): void => {
  process.stderr.write(`${line}\n`)
}

/** Wrong words on the command line are a bad input like any other. */
export const usage = (message: string): Refused => new Refused('setting-impossible', message)

/** Runs a command: a refusal is one sentence and status 2, anything else that is thrown is a defect of ours and status 1. */
export async function command(run: (args: readonly string[]) => Promise<number>): Promise<void> {
  try {
    process.exitCode = await run(process.argv.slice(2))
  } catch (error) {
    if (error instanceof Refused) {
      say(error.refusal.message)
      process.exitCode = EXIT.bad
      return
    }
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error)
    say(`This is a defect of Mouldwright, not of your input. Please report it with these lines:\n${text}`)
    process.exitCode = EXIT.defect
  }
}

/** `parseArgs` throws its own errors for unknown or misused options; they become one sentence. */
export function parsed<T>(parse: () => T, help: string): T {
  try {
    return parse()
  } catch (error) {
    if (error instanceof TypeError) throw usage(`${error.message.split('. ')[0]}. Usage: ${help}`)
    throw error
  }
}
