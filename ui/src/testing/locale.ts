/** Tests run where the clock has 24 hours and lengths are metric, whatever language the machine has. */
Object.defineProperty(navigator, 'language', { value: 'en-GB', configurable: true })
