package chemistry

// UseMode is how often a solution is used before it goes.
type UseMode string

// The ways to use a solution.
const (
	OneShot     UseMode = "one-shot"    // once, then dumped
	Reused      UseMode = "reused"      // again and again, with longer times, until its capacity is used
	Replenished UseMode = "replenished" // kept going by replenisher for every area of film
)

// UseModes lists every way to use a solution.
var UseModes = []UseMode{OneShot, Reused, Replenished}
