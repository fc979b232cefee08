package server

import (
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// NewWithStandIns makes a server that answers every route, those of the
// sign-in aside, with a stand-in.
func NewWithStandIns(services Services, options Options, standIn echo.HandlerFunc) (*Server, error) {
	site, err := newSite(services, options)
	if err != nil {
		return nil, err
	}
	site.routes = table(site)
	for i, route := range site.routes {
		if route.Path != "/sign-in" {
			site.routes[i].Handler, site.routes[i].Limit = standIn, nil
		}
	}
	return &Server{site, newEcho(site)}, nil
}

// Answered lists what echo itself answers.
func (s *Server) Answered() []*echo.Route { return s.echo.Routes() }

// Enters reports whether somebody in a role, "" for nobody, gets in.
func Enters(access Access, role jobs.Role) bool { return decide(access, role) == enter }

// LocalPath is localPath.
func LocalPath(address, fallback string) string { return localPath(address, fallback) }

// Limiter lets tests take and count.
type Limiter struct{ *limiter }

// NewLimiter makes one.
func NewLimiter(burst int, every time.Duration) Limiter { return Limiter{newLimiter(burst, every)} }

// Take is take.
func (l Limiter) Take(key string, now time.Time) time.Duration { return l.take(key, now) }

// GiveBack is giveBack.
func (l Limiter) GiveBack(key string) { l.giveBack(key) }

// Keys counts the keys that are remembered.
func (l Limiter) Keys() int { return len(l.full) }

// DrawQR is drawQR.
var DrawQR = drawQR

// Statuses is the table of statuses.
var Statuses = statuses

// Sentence is sentence.
var Sentence = sentence
