package demolab

import (
	"context"
	"time"
)

// foretell stores the forecasts of a day and writes its morning list, when the
// day begins and when somebody looks at the demo.
func (l *lab) foretell(ctx context.Context, _ time.Time) error {
	return l.Forecasts.Recalculate(ctx)
}
