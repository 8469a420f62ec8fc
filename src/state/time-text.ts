/** @example timeText('2026-11-25T08:41:00.000Z') // '25 Nov 08:41' in the clock of the place */
export function timeText(iso: string): string {
  const time = new Date(iso)
  if (Number.isNaN(time.getTime())) return iso
  return `${dateText(iso, false)} ${clockText(time.getTime())}`
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

export function dateText(iso: string, withYear = true): string {
  const time = new Date(iso)
  return `${time.getDate()} ${MONTHS[time.getMonth()]}${withYear ? ` ${time.getFullYear()}` : ''}`
}

/** @example clockText(Date.now()) // '08:41' */
export function clockText(ms: number): string {
  const time = new Date(ms)
  const two = (n: number) => String(n).padStart(2, '0')
  return `${two(time.getHours())}:${two(time.getMinutes())}`
}
