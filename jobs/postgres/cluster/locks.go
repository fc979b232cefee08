package cluster

import (
	"context"
	"errors"
	"os"
	"syscall"
	"time"
)

// pollEvery is how often a lock or a starting PostgreSQL is asked again.
const pollEvery = 25 * time.Millisecond

// flock waits for a lock on the file until ctx ends. The kernel gives the lock
// back when the process dies, however it dies.
func flock(ctx context.Context, f *os.File, how int) error {
	if tryFlock(f, how) {
		return nil
	}
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
			if tryFlock(f, how) {
				return nil
			}
		}
	}
}

// tryFlock takes the lock if it is free. A shared lock already held on the file
// becomes the new one, or is lost when that fails.
func tryFlock(f *os.File, how int) bool {
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			return err == nil
		}
	}
}

// unlock gives a lock back; it cannot fail on an open file.
func unlock(f *os.File) {
	_ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN)
}
