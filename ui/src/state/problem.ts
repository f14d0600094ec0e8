/** Leads to what is wrong in a form: the field itself where it is marked, else the words about it. */
export function toProblem(): void {
  const field = document.querySelector<HTMLElement>('form [aria-invalid="true"]')
  const words = document.querySelector<HTMLElement>('.problem, [role=alert]')
  ;(field ?? words)?.scrollIntoView({ block: 'center' })
  field?.focus({ preventScroll: true })
}
