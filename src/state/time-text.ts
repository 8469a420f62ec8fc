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

/** @example whenText(saved, Date.now()) // 'today 08:41', '25 Nov 08:41', '25 Nov 2025' */
export function whenText(ms: number, now_ms: number): string {
  const [time, now] = [new Date(ms), new Date(now_ms)]
  if (time.toDateString() === now.toDateString()) return `today ${clockText(ms)}`
  const iso = time.toISOString()
  return time.getFullYear() === now.getFullYear() ? `${dateText(iso, false)} ${clockText(ms)}` : dateText(iso)
}

/** @example bytesText(2_405_468) // '2.4 MB' */
export function bytesText(bytes: number): string {
  return bytes < 1e6
    ? `${Math.max(1, Math.round(bytes / 1000))} kB`
    : `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`
}
