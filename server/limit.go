package server

import (
	"math"
	"net/netip"
	"strconv"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// limiter lets every key through so many times at once and then once every
// interval. It holds one time a key: the moment at which all of its tries are
// available again.
type limiter struct {
	burst int
	every time.Duration

	mu    sync.Mutex
	full  map[string]time.Time
	sweep int // how many keys may gather before the idle ones are dropped
}

const sweepAt = 1024

func newLimiter(burst int, every time.Duration) *limiter {
	return &limiter{burst: burst, every: every, full: map[string]time.Time{}, sweep: sweepAt}
}

// take uses up one try and returns 0, or returns how long to wait for one.
func (l *limiter) take(key string, now time.Time) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	full := l.full[key]
	if full.Before(now) {
		full = now
	}
	if wait := full.Add(l.every).Sub(now) - time.Duration(l.burst)*l.every; wait > 0 {
		return wait
	}
	l.full[key] = full.Add(l.every)
	l.drop(now)
	return 0
}

// giveBack returns a try that turned out not to count.
func (l *limiter) giveBack(key string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if full, ok := l.full[key]; ok {
		l.full[key] = full.Add(-l.every)
	}
}

// drop forgets the keys that have all of their tries.
func (l *limiter) drop(now time.Time) {
	if len(l.full) < l.sweep {
		return
	}
	for key, full := range l.full {
		if !full.After(now) {
			delete(l.full, key)
		}
	}
	l.sweep = max(sweepAt, 2*len(l.full))
}

// tooMany answers somebody who tries too often.
func tooMany(c echo.Context, wait time.Duration) error {
	seconds := int(math.Ceil(wait.Seconds()))
	c.Response().Header().Set(echo.HeaderRetryAfter, strconv.Itoa(seconds))
	unit := "seconds"
	if seconds == 1 {
		unit = "second"
	}
	return jobs.Errorf(jobs.TooMany, "That was tried too often. Wait %d %s, then go back and try again; what you typed is still there.", seconds, unit)
}

// limited holds back whoever is not signed in and asks a route too often.
func (s *site) limited(l *limiter) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if _, signed := personOf(c); signed {
				return next(c)
			}
			if wait := l.take(network(c), s.options.Now()); wait > 0 {
				return tooMany(c, wait)
			}
			return next(c)
		}
	}
}

// network is where a request comes from: its address, and for IPv6 the /64
// that one customer of a provider is given.
func network(c echo.Context) string {
	address, err := netip.ParseAddr(c.RealIP())
	if err != nil {
		return c.RealIP()
	}
	if address = address.Unmap(); address.Is6() {
		if prefix, err := address.WithZone("").Prefix(64); err == nil {
			return prefix.String()
		}
	}
	return address.String()
}
