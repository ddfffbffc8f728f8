package pages_test

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/testdata/demo"
)

// served is a registry with its pages, and a browser's worth of a client.
type served struct {
	at     string // "http://127.0.0.1:port"
	conn   *grpc.ClientConn
	client *http.Client
	shop   string // of the demo, "shops/…"
}

func serve(t *testing.T, c server.Config) *served {
	t.Helper()
	c.Dir = t.TempDir()
	return serveIn(t, c, server.ServeConfig{})
}

func serveIn(t testing.TB, c server.Config, with server.ServeConfig) *served {
	t.Helper()
	c.AlwaysFresh = true
	r, err := server.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	grpcAt, webAt, ended := make(chan string, 1), make(chan string, 1), make(chan error, 1)
	with.Listen, with.Web, with.Pages = "127.0.0.1:0", "127.0.0.1:0", true
	with.Ready, with.WebReady = func(a net.Addr) { grpcAt <- a.String() }, func(a net.Addr) { webAt <- a.String() }
	go func() { ended <- server.Serve(ctx, r, with) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
	conn, err := grpc.NewClient(<-grpcAt, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &served{at: "http://" + <-webAt, conn: conn, client: &http.Client{Jar: jar}}
}

// demonstrated is a registry without accounts that has the demo's first shop.
func demonstrated(t *testing.T) *served {
	s := serve(t, server.Config{})
	s.post(t.Context(), t, "marrowby.yaml")
	return s
}

// post posts a shop of the demo.
func (s *served) post(ctx context.Context, t *testing.T, file string) []*pb.Lot {
	t.Helper()
	f, err := demo.FS.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	read, err := sheet.Read(file, f, sheet.Currency("USD"))
	if err != nil {
		t.Fatal(err)
	}
	made, err := pb.NewShopServiceClient(s.conn).CreateShop(ctx, &pb.CreateShopRequest{Shop: read.Shop})
	if err != nil {
		t.Fatal(err)
	}
	s.shop = made.GetShop().GetName()
	req := &pb.BatchCreateLotsRequest{Parent: s.shop}
	for _, row := range read.Lots {
		req.Lots = append(req.Lots, row.Lot)
	}
	got, err := pb.NewLotServiceClient(s.conn).BatchCreateLots(ctx, req)
	if err != nil {
		t.Fatal(err)
	}
	return got.GetLots()
}

// answer is a page as it came.
type answer struct {
	*http.Response
	body string
	root *html.Node
}

func (s *served) get(t *testing.T, path string) answer {
	t.Helper()
	return s.do(t, request(t, http.MethodGet, s.at+path, nil))
}

// send sends a form as a browser does from a page of the same site.
func (s *served) send(t *testing.T, path string, form url.Values) answer {
	t.Helper()
	r := request(t, http.MethodPost, s.at+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(t, r)
}

func request(t *testing.T, method, to string, body io.Reader) *http.Request {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, to, body)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (s *served) do(t *testing.T, r *http.Request) answer {
	t.Helper()
	got, err := s.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	if err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(strings.NewReader(string(body)))
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("HEIRPRESS_PAGES"); dir != "" { // to look at them
		name := strings.NewReplacer("/", "_", "?", "_", " ", "_").Replace(r.URL.Path + "_" + r.URL.RawQuery)
		if err := os.WriteFile(dir+"/"+name[:min(len(name), 80)]+".html", body, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return answer{got, string(body), root}
}

// is checks the status of an answer, and that it says certain things.
func (a answer) is(t *testing.T, status int, says ...string) answer {
	t.Helper()
	if a.StatusCode != status {
		t.Errorf("%s: status %d, want %d\n%s", a.Request.URL, a.StatusCode, status, a.text())
	}
	for _, want := range says {
		if !strings.Contains(a.text(), want) {
			t.Errorf("%s does not say %q:\n%s", a.Request.URL, want, a.text())
		}
	}
	return a
}

// text is what a page says, with single spaces.
func (a answer) text() string { return textOf(a.root) }

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// all are the elements of a name.
func (a answer) all(name string) (found []*html.Node) {
	for n := range a.root.Descendants() {
		if n.Type == html.ElementNode && n.Data == name {
			found = append(found, n)
		}
	}
	return found
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// link is where the first link leads whose text has certain words.
func (a answer) link(t *testing.T, words string) string {
	t.Helper()
	for _, n := range a.all("a") {
		if strings.Contains(textOf(n), words) {
			return attr(n, "href")
		}
	}
	t.Fatalf("%s has no link %q", a.Request.URL, words)
	return ""
}

// titles are the lots of a list, by their titles.
func (a answer) titles() (all []string) {
	for _, n := range a.all("h3") {
		if n.Parent.Data == "li" {
			all = append(all, textOf(n))
		}
	}
	return all
}
