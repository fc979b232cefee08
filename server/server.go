// Package server is what people and programs reach: pages, sign-in and, under
// /api/v1, JSON. It knows the work through the services of package jobs and
// what is shown through package web; where the records are kept it does not
// know.
package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// Services are the records that the pages stand on.
type Services struct {
	People    jobs.PeopleService
	Catalogue jobs.CatalogueService
	Orders    jobs.OrderService
	Imports   jobs.ImportService
	Rolls     jobs.RollService
	Today     jobs.TodayService
	Batches   jobs.BatchService
	Fills     jobs.FillService
	Lots      jobs.LotService
	Mixes     jobs.MixService
	Waste     jobs.WasteService
	Doses     jobs.DoseService
	Strips    jobs.StripService
	Traces    jobs.TraceService

	Inspections jobs.InspectionService
	Forecasts   jobs.ForecastService
	Morning     jobs.MorningService
	Schedules   jobs.ScheduleService
}

// Options are the choices of whoever runs the program. The zero value serves
// on one machine without HTTPS.
type Options struct {
	Secure         bool           // reached by HTTPS: cookies are sent by nothing else
	PublicURL      string         // how customers reach the server, as in "https://lab.example"; "" for as each request did
	TrustedProxies []netip.Prefix // whose X-Forwarded-For is believed
	Log            *slog.Logger   // nil for the default one
	Now            func() time.Time
	SessionStore   scs.Store                   // nil keeps sessions in memory
	Ready          func(context.Context) error // nil when always ready
	DemoBanner     string                      // a line on top of every page
}

// Server answers requests. [New] makes one.
type Server struct {
	site *site
	echo *echo.Echo
}

// New makes a server. Everything that can be wrong with templates, assets or
// options is found here.
func New(services Services, options Options) (*Server, error) {
	site, err := newSite(services, options)
	if err != nil {
		return nil, err
	}
	site.routes = table(site)
	return &Server{site, newEcho(site)}, nil
}

// newSite makes what the handlers share.
func newSite(services Services, options Options) (*site, error) {
	pages, err := web.NewRenderer()
	if err != nil {
		return nil, err
	}
	if options.Log == nil {
		options.Log = slog.Default()
	}
	if options.Now == nil {
		options.Now = time.Now
	}
	return &site{
		services: services,
		options:  options,
		pages:    pages,
		sessions: newSessions(options),
		lab:      &labCache{catalogue: services.Catalogue, now: options.Now},
	}, nil
}

// Handler returns what answers the requests.
func (s *Server) Handler() http.Handler { return s.echo }

// Routes lists every address that the server answers at.
func (s *Server) Routes() []Route { return s.site.routes }

// Timeouts: a slow sender may not hold a connection, a slow handler may not
// hold a request.
const (
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 30 * time.Second
	writeTimeout      = 60 * time.Second
	idleTimeout       = 2 * time.Minute
	handlerTimeout    = 30 * time.Second
	shutdownTimeout   = 10 * time.Second
)

// Serve answers on a listener until the context ends; requests that have begun
// are answered before it returns.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	server := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: readHeaderTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(s.site.options.Log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return errors.Join(fmt.Errorf("requests were still running: %w", err), server.Close())
	}
	return nil
}
