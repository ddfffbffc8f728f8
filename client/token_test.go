package client

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	"heirpress/server"
)

func TestWhereTokensAreKept(t *testing.T) {
	for server, want := range map[string]string{
		"registry.example.org:7427": "registry.example.org_7427",
		"Registry.Example.org:7427": "registry.example.org_7427",
		"127.0.0.1:1":               "127.0.0.1_1",
		"[2001:db8::1]:7427":        "2001+db8++1_7427",
		"../../etc/passwd:1":        "+..+etc+passwd_1",
		"a/b:1":                     "a+b_1",
	} {
		got, err := TokenFile("/d", server)
		if err != nil || got != filepath.Join("/d", "tokens", want) {
			t.Errorf("%s: %s, %v", server, got, err)
		}
	}
	var wrong *AddressError
	if _, err := TokenFile("/d", "nowhere"); !errors.As(err, &wrong) {
		t.Error(err)
	}
}

func TestTokensAreKeptForTheirOwner(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "tokens", "a_1")
	for _, token := range []string{"heirpress_one", "heirpress_two"} {
		if err := KeepToken(path, token); err != nil {
			t.Fatal(err)
		}
		if got, err := ReadToken(path); got != token || err != nil {
			t.Errorf("read %q, %v", got, err)
		}
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 1 {
		t.Errorf("left %v", left)
	}
	if runtime.GOOS != "windows" {
		for path, want := range map[string]os.FileMode{path: 0o600, filepath.Dir(path): 0o700} {
			if about, err := os.Stat(path); err != nil || about.Mode().Perm() != want {
				t.Errorf("%s: %v, %v", path, about.Mode(), err)
			}
		}
		for _, mode := range []os.FileMode{0o604, 0o640, 0o660, 0o602} {
			if err := os.Chmod(path, mode); err != nil {
				t.Fatal(err)
			}
			var shared *SharedFileError
			if _, err := ReadToken(path); !errors.As(err, &shared) || strings.Contains(err.Error(), "two") {
				t.Errorf("mode %o: %v", mode, err)
			}
		}
	}
	for range 2 {
		if err := ForgetToken(path); err != nil {
			t.Error(err)
		}
	}
	if _, err := ReadToken(t.TempDir()); err == nil {
		t.Error("a folder is read as a token")
	}
	for _, text := range []string{"", " \n", "two words", "t\u00f6ken", "a\nb", "\x00"} {
		if got, err := TokenIn(strings.NewReader(text), "it"); err == nil {
			t.Errorf("%q is read as %q", text, got)
		}
	}
}

// Who has no data folder has no token, and can use a server as ever.
func TestWithoutAFolderThereIsNoToken(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("HOME", "")
	t.Setenv("XDG_DATA_HOME", "")
	for _, dir := range []string{"", file, filepath.Join(file, "deeper"), filepath.Join(t.TempDir(), "none")} {
		if token, err := tokenFor(Options{Server: "127.0.0.1:1", Dir: dir}); token != "" || err != nil {
			t.Errorf("%q: %q, %v", dir, token, err)
		}
	}
	if _, err := tokenFor(Options{Server: "127.0.0.1:1", TokenFile: filepath.Join(file, "none")}); err == nil {
		t.Error("a file that was named and is not there is passed over")
	}
}

// A token goes in the clear to this machine, and to no other.
func TestATokenIsNotSentInTheClear(t *testing.T) {
	var clear *ClearTokenError
	_, err := Connect(t.Context(), Options{Server: "registry.example.org:7427", Plaintext: true, Token: "secret-one", Dir: t.TempDir()})
	if !errors.As(err, &clear) || strings.Contains(err.Error(), "secret-one") {
		t.Errorf("got %v", err)
	}
	for _, o := range []Options{
		{Server: "registry.example.org:7427", Token: "secret-one"}, {Server: "127.0.0.1:1", Token: "secret-one"},
		{Server: "registry.example.org:7427", Plaintext: true, Dir: t.TempDir()},
	} {
		c, err := Connect(t.Context(), o)
		if err != nil {
			t.Fatalf("%s: %v", o.Server, err)
		}
		c.Close()
	}
	if !(bearer{}).RequireTransportSecurity() || (bearer{local: true}).RequireTransportSecurity() {
		t.Error("where gRPC itself refuses")
	}
	if _, err := Connect(t.Context(), Options{Server: "127.0.0.1:1", CertFile: "none.pem", KeyFile: "none.pem"}); err == nil || !strings.Contains(err.Error(), "your own certificate") {
		t.Errorf("got %v", err)
	}
}

// A call that came too soon is made again when it may be, and no other is.
func TestCallsArePatient(t *testing.T) {
	refusal := func(reason string, after time.Duration) error {
		st, err := status.New(codes.ResourceExhausted, "too much").WithDetails(
			&errdetails.ErrorInfo{Reason: reason, Domain: server.Domain}, &errdetails.RetryInfo{RetryDelay: durationpb.New(after)})
		if err != nil {
			t.Fatal(err)
		}
		return st.Err()
	}
	soon := refusal(server.ReasonTooManyCalls, time.Millisecond)
	for name, c := range map[string]struct {
		refusals int
		err      error
		calls    int
		done     bool
	}{
		"at once":         {0, nil, 1, true},
		"after a while":   {3, soon, 4, true},
		"never":           {100, soon, 6, false},
		"too long a wait": {100, refusal(server.ReasonTooManyCalls, time.Hour), 1, false},
		"another reason":  {100, refusal(server.ReasonTooManyGuesses, time.Millisecond), 1, false},
		"another error":   {100, errors.New("another"), 1, false},
	} {
		calls := 0
		err := patiently(t.Context(), "", nil, nil, nil, func(context.Context, string, any, any, *grpc.ClientConn, ...grpc.CallOption) error {
			if calls++; calls <= c.refusals {
				return c.err
			}
			return nil
		})
		if calls != c.calls || (err == nil) != c.done {
			t.Errorf("%s: %d calls, %v", name, calls, err)
		}
	}
	ended, end := context.WithCancel(t.Context())
	end()
	err := patiently(ended, "", nil, nil, nil, func(context.Context, string, any, any, *grpc.ClientConn, ...grpc.CallOption) error {
		return refusal(server.ReasonTooManyCalls, 10*time.Second)
	})
	if status.Code(err) != codes.ResourceExhausted {
		t.Errorf("when nobody waits any more: %v", err)
	}
}
