package client

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"

	"google.golang.org/grpc"
)

// longestToken is how much of a file or an input is read for a token, in bytes.
const longestToken = 4096

// TokenFile is where the token for a server, or for several that share a registry,
// is kept in a data folder; empty means DataDir.
func TokenFile(dir, server string) (string, error) {
	dir, err := folder(dir)
	if err != nil {
		return "", err
	}
	all, err := addresses(server)
	if err != nil {
		return "", err
	}
	slices.Sort(all)
	var names []string
	for _, one := range all {
		names = append(names, fileName(one))
	}
	return filepath.Join(dir, "tokens", strings.Join(names, "+")), nil
}

// fileName is what a server's address is called in a file's name. Of a host's name
// nothing is left that could lead out of the folder.
func fileName(address string) string {
	host, port, _ := net.SplitHostPort(address) // addresses has looked at it
	name := strings.Map(func(r rune) rune {
		if r == '.' || r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' {
			return r
		}
		return '+'
	}, strings.ToLower(host))
	return strings.TrimLeft(name, ".") + "_" + port
}

// SharedFileError says that others can read a file that holds a token.
type SharedFileError struct {
	// Path is the file.
	Path string
	// Mode are its permissions.
	Mode fs.FileMode
}

// Error says what would be right.
func (e *SharedFileError) Error() string {
	return fmt.Sprintf("%s can be read by others (its mode is %04o): run chmod 600 on it, and revoke the token if anybody may have seen it", e.Path, e.Mode)
}

// ReadToken reads a token from a file that only its owner can read. A file that
// others can is a *SharedFileError.
func ReadToken(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	about, err := f.Stat()
	if err != nil {
		return "", err
	}
	if !about.Mode().IsRegular() {
		return "", fmt.Errorf("%s is not a file", path)
	}
	if mode := about.Mode().Perm(); runtime.GOOS != "windows" && mode&0o077 != 0 { // there the mode tells nothing
		return "", &SharedFileError{Path: path, Mode: mode}
	}
	return TokenIn(f, path)
}

// TokenIn reads a token that stands alone in an input; what names it in errors.
func TokenIn(r io.Reader, what string) (string, error) {
	body, err := io.ReadAll(io.LimitReader(r, longestToken))
	if err != nil {
		return "", err
	}
	token := string(bytes.TrimSpace(body))
	if token == "" || strings.ContainsFunc(token, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return "", fmt.Errorf("%s holds no token: it should hold one, and nothing else", what)
	}
	return token, nil
}

// KeepToken keeps a token in a file that only its owner can read, in a folder that
// only they can open. The file is whole or not there.
func KeepToken(path, token string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	part, err := os.CreateTemp(filepath.Dir(path), ".new-") // its mode is 0600
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(part, token)
	if err = errors.Join(err, part.Sync(), part.Close()); err == nil {
		err = os.Rename(part.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(part.Name()))
	}
	return nil
}

// ForgetToken removes the file of a token. One that is not there is no error.
func ForgetToken(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// tokenFor is the token to show to the server of the options: that of the file
// named, or the one that was kept; empty if there is none.
func tokenFor(o Options) (string, error) {
	if o.Token != "" {
		return o.Token, nil
	}
	if o.TokenFile != "" {
		return ReadToken(o.TokenFile)
	}
	path, err := TokenFile(o.Dir, o.Server)
	if err != nil { // without a home folder nothing was kept, and nothing is needed
		return "", nil
	}
	token, err := ReadToken(path)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) {
		return "", nil
	}
	return token, err
}

// ClearTokenError says that a token would have gone over a network in the clear.
type ClearTokenError struct {
	// Server is where to.
	Server string
}

// Error says what to do.
func (e *ClearTokenError) Error() string {
	return fmt.Sprintf("your token is not sent to %s in the clear: leave out --plaintext, and give --ca if its certificate is not one that this machine trusts", e.Server)
}

// showing are the options of a connection that shows a token, if there is one.
func showing(o Options, to []string) ([]grpc.DialOption, error) {
	token, err := tokenFor(o)
	if err != nil || token == "" {
		return nil, err
	}
	local := !slices.ContainsFunc(to, isElsewhere)
	if o.Plaintext && !local {
		return nil, &ClearTokenError{Server: o.Server}
	}
	return []grpc.DialOption{grpc.WithPerRPCCredentials(bearer{token: token, local: local})}, nil
}

// bearer shows a token with each call.
type bearer struct {
	token string
	// local tells that the server is on this machine, where it may go in the clear.
	local bool
}

// GetRequestMetadata is the token as a call shows it.
func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	return map[string]string{"authorization": "Bearer " + b.token}, nil
}

// RequireTransportSecurity has gRPC refuse any other connection: whatever we have
// overlooked, the token does not go out in the clear.
func (b bearer) RequireTransportSecurity() bool { return !b.local }
