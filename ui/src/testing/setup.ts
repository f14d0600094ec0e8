/** One screen with a stand-in door behind it. */
import { useTransport } from '../core'
import { session } from '../state/session.svelte'
import { FakeDoor, type FakeOptions } from './fake-door'

export async function doorOf(options: FakeOptions = {}): Promise<FakeDoor> {
  const door = new FakeDoor(options)
  useTransport(door.transport)
  session.recorder = ''
  session.step = null
  await session.open()
  return door
}
