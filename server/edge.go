package server

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"

	"wetside/jobs"
)

// bodyLimit is the most that one request may bring. An order of fifty rolls
// with long notes is a fifth of it.
const bodyLimit = "256K"

// contentPolicy allows what the pages bring themselves and nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// newEcho puts the edge together: what every request passes through, from the
// outside in, and then the table of routes.
func newEcho(s *site) *echo.Echo {
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = s.answerError
	e.IPExtractor = ipExtractor(s.options.TrustedProxies)
	e.Binder, e.JSONSerializer, e.Validator = bodyBinder{}, strictJSON{}, newValidation()

	e.Use(nameRequest, s.logged, s.recovered(), s.secured, refuseForeign(),
		middleware.BodyLimit(bodyLimit), middleware.ContextTimeout(handlerTimeout),
		middleware.GzipWithConfig(middleware.GzipConfig{MinLength: 1024}), s.known())
	for _, route := range s.routes {
		through := []echo.MiddlewareFunc{guard(route.Access)}
		if route.Limit != nil {
			through = append(through, s.limited(route.Limit))
		}
		e.Add(route.Method, route.Path, route.Handler, through...)
		if route.Method == http.MethodGet {
			e.Add(http.MethodHead, route.Path, route.Handler, through...)
		}
	}
	return e
}

// nameRequest gives every request a number of its own, for the log and for
// people who report a fault. A number sent along is not believed.
func nameRequest(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		c.Response().Header().Set(echo.HeaderXRequestID, uuid.NewString())
		return next(c)
	}
}

// logged writes one line a request. It names the route and not the address:
// private links are secrets.
func (s *site) logged(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		begun := time.Now()
		if err := next(c); err != nil {
			c.Error(err)
		}
		s.options.Log.InfoContext(c.Request().Context(), "request",
			"method", c.Request().Method, "route", c.Path(), "status", c.Response().Status,
			"duration", time.Since(begun), "request_id", c.Response().Header().Get(echo.HeaderXRequestID))
		return nil
	}
}

// known finds out who asks, for everything but open routes. Pages that do not
// exist are shown with a session too.
func (s *site) known() echo.MiddlewareFunc {
	open := map[string]bool{}
	for _, route := range s.routes {
		open[route.Path] = route.Access == Open
	}
	inSession := echo.WrapMiddleware(s.sessions.LoadAndSave)
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		within := inSession(s.answered(s.knowPerson(next)))
		return func(c echo.Context) error {
			if open[c.Path()] {
				return next(c)
			}
			return within(c)
		}
	}
}

// answered turns errors into answers inside the session, so that error pages
// know who asks.
func (s *site) answered(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if err := next(c); err != nil {
			c.Error(err)
		}
		return nil
	}
}

// recovered keeps a panic from ending more than its own request.
func (s *site) recovered() echo.MiddlewareFunc {
	return middleware.RecoverWithConfig(middleware.RecoverConfig{
		DisableErrorHandler: true,
		LogErrorFunc: func(_ echo.Context, err error, stack []byte) error {
			return fmt.Errorf("panic: %w\n%s", err, stack)
		},
	})
}

// secured sets the headers that keep browsers careful.
func (s *site) secured(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		header := c.Response().Header()
		header.Set(echo.HeaderContentSecurityPolicy, contentPolicy)
		header.Set(echo.HeaderXContentTypeOptions, "nosniff")
		header.Set(echo.HeaderXFrameOptions, "DENY")
		header.Set("Referrer-Policy", "same-origin")
		header.Set("Cross-Origin-Opener-Policy", "same-origin")
		header.Set("Cross-Origin-Resource-Policy", "same-origin")
		header.Set("Permissions-Policy", "geolocation=(), microphone=(), camera=(self)")
		if s.options.Secure {
			header.Set(echo.HeaderStrictTransportSecurity, "max-age=31536000")
		}
		return next(c)
	}
}

// refuseForeign refuses changes that another site's page asks for.
func refuseForeign() echo.MiddlewareFunc {
	protection := http.NewCrossOriginProtection()
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if err := protection.Check(c.Request()); err != nil {
				return jobs.Errorf(jobs.Forbidden, "This request came from another site and was not carried out.")
			}
			return next(c)
		}
	}
}

// ipExtractor finds the address of whoever asks. Without trusted proxies no
// header is believed.
func ipExtractor(proxies []netip.Prefix) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, proxy := range proxies {
		trust = append(trust, echo.TrustIPRange(&net.IPNet{
			IP:   proxy.Addr().AsSlice(),
			Mask: net.CIDRMask(proxy.Bits(), proxy.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
}

// readyWithin is how long a question for readiness may take.
const readyWithin = 2 * time.Second

// health answers 200 when requests can be served and 503 when not.
func (s *site) health(c echo.Context) error {
	if s.options.Ready != nil {
		ctx, cancel := context.WithTimeout(c.Request().Context(), readyWithin)
		defer cancel()
		if err := s.options.Ready(ctx); err != nil {
			s.options.Log.WarnContext(ctx, "not ready", "error", err)
			return c.String(http.StatusServiceUnavailable, "not ready\n")
		}
	}
	return c.String(http.StatusOK, "ready\n")
}

// asset sends a style sheet, script or drawing. Its address changes with its
// content, so whoever has it need not ask again.
func (s *site) asset(c echo.Context) error {
	asset, ok := s.pages.Assets.At(c.Request().URL.Path)
	if !ok {
		return echo.ErrNotFound
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "public, max-age=31536000, immutable")
	return c.Blob(http.StatusOK, asset.Type, asset.Content)
}
