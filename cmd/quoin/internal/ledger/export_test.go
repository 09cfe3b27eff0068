package ledger

// SetSizes makes pages and chunks small, so that few records fill many.
func (l *Ledger) SetSizes(page, chunk int) { l.page, l.chunk = page, chunk }

// SetChapter makes chapters of so many jobs.
func (l *Ledger) SetChapter(jobs int) { l.jobs = jobs }

// OldSteps are those that made the tables before records were packed.
func OldSteps() (component string, old []string) { return "ledger", steps[:3] }
