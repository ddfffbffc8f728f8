package postgres

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"heirpress/server/store"
)

// usualSchema is where the tables are if the address does not name a search_path.
const usualSchema = "heirpress"

// oldest is the oldest PostgreSQL that has all that is relied on.
const oldest = 140000

// place is where a registry is kept.
type place struct {
	config *pgx.ConnConfig
	schema string
}

// settings are asked of every connection, over what the server is set to; the
// address may set them otherwise. Some have the server drop a daemon that has
// gone silent, so that it keeps no lock.
var settings = map[string]string{
	"synchronous_commit":                  "on",
	"application_name":                    "heirpressd",
	"timezone":                            "UTC",
	"client_encoding":                     "UTF8",
	"statement_timeout":                   milliseconds(longestStatement),
	"idle_in_transaction_session_timeout": milliseconds(longestSilence),
	"tcp_keepalives_idle":                 "30",
	"tcp_keepalives_interval":             "5",
	"tcp_keepalives_count":                "3",
}

const (
	longestStatement = 30 * time.Second // the wait for other writers counts
	longestSilence   = 5 * time.Second  // of a writer, between two statements
	longestConnect   = 5 * time.Second
)

func milliseconds(d time.Duration) string { return strconv.FormatInt(d.Milliseconds(), 10) }

// locate reads an address. No error of it tells a password: what cannot be read
// is not repeated.
func locate(address string) (place, error) {
	if !IsAddress(address) {
		return place{}, badAddress("does not begin with postgres://")
	}
	config, err := pgx.ParseConfig(address)
	if err != nil {
		return place{}, badAddress(unreadable(err))
	}
	p := place{config: config, schema: usualSchema}
	if path := config.RuntimeParams["search_path"]; path != "" {
		p.schema = path
	}
	for name, value := range settings {
		if config.RuntimeParams[name] == "" {
			config.RuntimeParams[name] = value
		}
	}
	config.RuntimeParams["search_path"] = pgx.Identifier{p.schema}.Sanitize()
	if config.ConnectTimeout == 0 {
		config.ConnectTimeout = longestConnect
	}
	config.DialFunc = dialer().DialContext
	return p, nil
}

// IsAddress tells whether a text is meant as the address of a PostgreSQL
// database.
func IsAddress(s string) bool {
	return strings.HasPrefix(s, "postgres://") || strings.HasPrefix(s, "postgresql://")
}

func badAddress(problem string) error {
	return &store.InvalidError{Field: "address", Problem: problem +
		": write it as postgres://USER@HOST:5432/DATABASE, and the password in a PGPASSFILE or PGPASSWORD"}
}

// unreadable tells why an address could not be read, as far as that holds none
// of it.
func unreadable(err error) string {
	var file interface{ Timeout() bool }
	switch text := err.Error(); {
	case strings.Contains(text, "port"):
		return "has a port that is none"
	case strings.Contains(text, "sslmode"), strings.Contains(text, "sslroot"), strings.Contains(text, "sslcert"), strings.Contains(text, "tls"):
		return "has TLS settings that cannot be used"
	case errors.As(err, &file):
		return "names a file that cannot be read"
	}
	return "cannot be read as a URL"
}

// dialer notices within seconds that the other side is gone.
func dialer() *net.Dialer {
	return &net.Dialer{
		Timeout:         longestConnect,
		KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 2 * time.Second, Interval: time.Second, Count: 3},
		Control:         control,
	}
}

// String is the address without password or settings.
func (p place) String() string {
	u := url.URL{Scheme: "postgres", Host: p.config.Host, Path: "/" + p.config.Database}
	if strings.HasPrefix(p.config.Host, "/") { // a folder of sockets
		u.Host, u.RawQuery = "", "host="+p.config.Host
	} else if p.config.Port != 0 {
		u.Host = net.JoinHostPort(p.config.Host, strconv.Itoa(int(p.config.Port)))
	}
	if p.config.User != "" {
		u.User = url.User(p.config.User)
	}
	return u.String()
}

// connect opens a connection of its own, with further settings.
func (p place) connect(ctx context.Context, more map[string]string) (*pgx.Conn, error) {
	config := p.config.Copy()
	for name, value := range more {
		config.RuntimeParams[name] = value
	}
	return pgx.ConnectConfig(ctx, config)
}

// checkServer refuses a server that cannot keep what package store promises.
func (p place) checkServer(ctx context.Context, c *pgx.Conn) error {
	var version int
	var encoding, fsync, commit string
	err := c.QueryRow(ctx, `SELECT current_setting('server_version_num')::int, current_setting('server_encoding'),
		current_setting('fsync'), current_setting('synchronous_commit')`).Scan(&version, &encoding, &fsync, &commit)
	reason := ""
	switch {
	case err != nil:
		return err
	case version < oldest:
		reason = fmt.Sprintf("its PostgreSQL is %d, and 14 is the oldest that will do", version/10000)
	case encoding != "UTF8":
		reason = fmt.Sprintf("its encoding is %s, and must be UTF8", encoding)
	case fsync != "on" || commit == "off":
		reason = "it runs with fsync or synchronous_commit off, and would lose acknowledged writes with the power"
	default:
		return nil
	}
	return &store.UnusableError{Path: p.String(), Reason: reason}
}

// failure is an error of the database as the store tells it. Of what can be
// mended by trying again it makes a *store.UnavailableError.
func (p place) failure(ctx context.Context, err error) error {
	var refused *pgconn.PgError
	switch {
	case err == nil || isOurs(err):
		return err
	case ctx.Err() != nil:
		return ctx.Err()
	case !errors.As(err, &refused):
		return &store.UnavailableError{Place: p.String(), Reason: innermost(err)}
	case passing(refused.Code):
		return &store.UnavailableError{Place: p.String(), Reason: refused.Message}
	}
	return fmt.Errorf("store: %s: %s (SQLSTATE %s)", p, refused.Message, refused.Code)
}

func isOurs(err error) bool {
	var newer *store.NewerError
	var unusable *store.UnusableError
	return errors.As(err, &newer) || errors.As(err, &unusable)
}

// passing tells whether an SQLSTATE is of a fault that passes: of the connection
// (08), of conflict (40), of too many connections, of a server that stops,
// starts, or has become a standby, and of time run out.
func passing(code string) bool {
	switch code {
	case "53300", "57P01", "57P02", "57P03", "57P05", "25006", "25P03", "57014", "55P03":
		return true
	}
	return strings.HasPrefix(code, "08") || strings.HasPrefix(code, "40")
}

// innermost is the text of the error that was first: those around it repeat
// settings of the connection.
func innermost(err error) string {
	for {
		switch wraps := err.(type) {
		case interface{ Unwrap() error }:
			if inner := wraps.Unwrap(); inner != nil {
				err = inner
				continue
			}
		case interface{ Unwrap() []error }:
			if all := wraps.Unwrap(); len(all) > 0 {
				err = all[len(all)-1]
				continue
			}
		}
		return err.Error()
	}
}
