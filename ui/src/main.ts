/** Puts the app on the page. */
import '@fontsource/atkinson-hyperlegible/400.css'
import '@fontsource/atkinson-hyperlegible/700.css'
import './style/tokens.css'
import './style/base.css'
import './style/controls.css'
import './style/layout.css'
import './style/body.css'
import './style/before.css'
import './style/plan.css'
import './style/chart.css'
import './style/visit.css'
import './style/skin.css'
import './style/lock.css'
import './style/system.css'
import { mount } from 'svelte'
import App from './App.svelte'

const target = document.getElementById('app')
if (!target) throw new Error('the page has no place for the app')
mount(App, { target })
