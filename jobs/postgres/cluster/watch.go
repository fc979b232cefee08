package cluster

import (
	"context"
	"fmt"
	"syscall"
	"time"
)

// watchEvery is how often a running cluster is looked after.
const watchEvery = 2 * time.Second

// watch looks after the cluster until ctx ends: a postmaster that was killed is
// started again, by whichever of its users notices first.
func (c *Cluster) watch(ctx context.Context) {
	defer close(c.watched)
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if listening(c.socket) {
			continue
		}
		if err := c.revive(ctx); err != nil && ctx.Err() == nil {
			fmt.Fprintf(c.log, "The private PostgreSQL has stopped: %v\n", err)
		}
	}
}

// revive starts a dead PostgreSQL again.
func (c *Cluster) revive(ctx context.Context) error {
	if err := flock(ctx, c.boot, syscall.LOCK_EX); err != nil {
		return err
	}
	defer unlock(c.boot)
	if listening(c.socket) {
		return nil
	}
	fmt.Fprintf(c.log, "The private PostgreSQL in %s is gone; starting it again.\n", c.dir)
	return c.up(ctx)
}
