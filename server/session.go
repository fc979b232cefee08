package server

import (
	"errors"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/alexedwards/scs/v2/memstore"
	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// What a session holds.
const (
	personIDKey = "person"
	noticeKey   = "notice"
)

// A session ends after a working day, or a quarter of one without a request.
const (
	sessionLifetime = 12 * time.Hour
	sessionIdle     = 3 * time.Hour
)

func newSessions(options Options) *scs.SessionManager {
	sessions := scs.New()
	sessions.Store = options.SessionStore
	if sessions.Store == nil {
		sessions.Store = memstore.NewWithCleanupInterval(0)
	}
	sessions.HashTokenInStore = true
	sessions.Lifetime = sessionLifetime
	sessions.IdleTimeout = sessionIdle
	sessions.Cookie.Name = "wetside"
	sessions.Cookie.HttpOnly = true
	sessions.Cookie.SameSite = http.SameSiteLaxMode
	sessions.Cookie.Secure = options.Secure
	sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		options.Log.ErrorContext(r.Context(), "session store", "error", err)
		http.Error(w, "The records cannot be reached at the moment. Try again shortly.", http.StatusServiceUnavailable)
	}
	return sessions
}

// knowPerson looks up who is signed in. The records are asked each time, so
// that somebody who is shut out is out at once.
func (s *site) knowPerson(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		c.Set(sessionKey, true)
		ctx := c.Request().Context()
		id := jobs.PersonID(s.sessions.GetInt64(ctx, personIDKey))
		if id == 0 {
			return next(c)
		}
		person, err := s.services.People.Person(ctx, id)
		switch {
		case jobs.CodeOf(err) == jobs.NotFound, err == nil && !person.Active:
			if err := s.sessions.Destroy(ctx); err != nil {
				return err
			}
		case err != nil:
			return err
		default:
			c.Set(personKey, person)
		}
		return next(c)
	}
}

// begin signs a person in. The token is a new one, so that nobody who knew the
// old one is let in with it.
func (s *site) begin(c echo.Context, person jobs.Person) error {
	ctx := c.Request().Context()
	if err := s.sessions.RenewToken(ctx); err != nil {
		return errors.Join(errors.New("begin a session"), err)
	}
	s.sessions.Put(ctx, personIDKey, int64(person.ID))
	return nil
}

// sessionKey marks a request that has a session. One that failed further out,
// or at an open route, has none.
const sessionKey = "session"

// popNotice takes what the last form wants to have said.
func (s *site) popNotice(c echo.Context) string {
	if c.Get(sessionKey) == nil {
		return ""
	}
	return s.sessions.PopString(c.Request().Context(), noticeKey)
}
