package cluster

import (
	"errors"
	"io"
	"os"
	"path/filepath"
)

// logLimit is the size in bytes at which the server's log is set aside.
const logLimit = 1 << 20

// arguments are the settings of the server. They are given at each start rather
// than written down once, so that a newer program brings its own.
func (c *Cluster) arguments() []string {
	settings := []string{
		"listen_addresses=",
		"port=" + socketPort,
		"unix_socket_directories=" + c.socket,
		"unix_socket_permissions=0700",
		"timezone=UTC",
		"log_timezone=UTC",
		"log_checkpoints=off",
		"log_error_verbosity=terse", // details quote customers' data
	}
	if c.durable {
		settings = append(settings, "max_connections=100")
	} else {
		// Many test processes share one cluster, each with several pools.
		settings = append(settings, "max_connections=400", "fsync=off", "synchronous_commit=off", "full_page_writes=off")
	}
	args := []string{"-D", c.data}
	for _, setting := range settings {
		args = append(args, "-c", setting)
	}
	return args
}

func (c *Cluster) logPath() string { return filepath.Join(c.dir, "postgres.log") }

// openLog opens the server's log, setting a long one aside first.
func (c *Cluster) openLog() (*os.File, error) {
	if info, err := os.Stat(c.logPath()); err == nil && info.Size() > logLimit {
		if err := os.Rename(c.logPath(), c.logPath()+".old"); err != nil {
			return nil, unusable(c.dir, err)
		}
	}
	return openOwn(c.logPath(), os.O_RDWR|os.O_APPEND)
}

// lastWords reads from the log why the postmaster has ended.
func (c *Cluster) lastWords() string {
	ended := c.server.err
	if ended == nil {
		ended = errors.New("it ended without a word")
	}
	log, err := os.Open(c.logPath())
	if err != nil {
		return ended.Error()
	}
	defer log.Close()
	said, err := io.ReadAll(io.NewSectionReader(log, c.server.from, logLimit))
	if err != nil {
		return ended.Error()
	}
	return complaint(string(said), ended)
}
