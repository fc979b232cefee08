// Package jobs holds the work of a film lab: orders, rolls, batches and fills,
// their states, the rules by which they move on, and the services that keep
// them. It imports chemistry for every figure and knows nothing of databases
// or pages: a decision takes what it needs as arguments, the time among them,
// and returns what should be kept.
package jobs
