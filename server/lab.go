package server

import (
	"context"
	"sync"
	"time"

	"wetside/jobs"
)

// labFor is how long the lab's name and time zone are kept before they are
// read again: every page needs them, and they hardly ever change.
const labFor = 10 * time.Second

// labInfo is what every page needs to know about the lab.
type labInfo struct {
	name string
	zone *time.Location
}

// labCache keeps the lab's name and time zone for a moment.
type labCache struct {
	catalogue jobs.CatalogueService
	now       func() time.Time

	mu   sync.Mutex
	info labInfo
	read time.Time
}

// get returns what is known of the lab. When it cannot be read the last known
// answer stands, so that an error page can still be shown.
func (l *labCache) get(ctx context.Context) labInfo {
	now := l.now()
	l.mu.Lock()
	info, fresh := l.info, !l.read.IsZero() && now.Sub(l.read) < labFor
	l.mu.Unlock()
	if fresh {
		return info
	}
	catalogue, err := l.catalogue.Catalogue(ctx)
	if err != nil {
		if info.zone == nil {
			info.zone = time.UTC
		}
		return info
	}
	info = labInfo{catalogue.Lab.Name, catalogue.Lab.Zone()}
	l.mu.Lock()
	l.info, l.read = info, now
	l.mu.Unlock()
	return info
}

// forget makes the next page read the lab anew, because it was just changed.
func (l *labCache) forget() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.read = time.Time{}
}
