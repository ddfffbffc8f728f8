package server

import (
	"context"
	_ "embed"
	"html/template"
	"net"
	"net/http"
	"strings"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/deliver"
)

// proofPath is where a keeper without the program reads a proof, followed by the
// code.
const proofPath = "/proof/"

const largestProofPage = 256 << 10 // bytes that a page may send back

//go:embed proofpage.html
var proofPageText string

var proofPage = template.Must(template.New("proof").Funcs(template.FuncMap{
	"weight": func(l *pb.Lot) string { return notice.Weight(l, trade.US) }, "price": notice.Price, "condition": trade.ConditionWord,
	"join": strings.Join, "date": func(d *pb.Date) string {
		if d == nil {
			return ""
		}
		return trade.FormatDate(d)
	},
}).Parse(proofPageText))

// proofPages show the proof of a code, and take the answer to it. To look uses
// nothing up: programs that read mail look too.
func (r *Registry) proofPages() http.Handler {
	p := proofWeb{&proofService{Registry: r}}
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+proofPath+"{code}", p.show)
	mux.HandleFunc("POST "+proofPath+"{code}", p.answer)
	return http.MaxBytesHandler(mux, largestProofPage)
}

type proofWeb struct{ *proofService }

// A pageCall is a call of a service's method by a page.
type pageCall string

// Method is the method.
func (m pageCall) Method() string { return string(m) }

// SetHeader, SendHeader and SetTrailer do nothing: a page has no such thing.
func (pageCall) SetHeader(metadata.MD) error  { return nil }
func (pageCall) SendHeader(metadata.MD) error { return nil }
func (pageCall) SetTrailer(metadata.MD) error { return nil }

// as is the context of a call of a method by whoever asks for a page: somebody
// without a token, at their address.
func as(r *http.Request, method string) context.Context {
	ctx := access.With(r.Context(), access.Caller{})
	if address, err := net.ResolveTCPAddr("tcp", r.RemoteAddr); err == nil {
		ctx = peer.NewContext(ctx, &peer.Peer{Addr: address})
	}
	return grpc.NewContextWithServerTransportStream(ctx, pageCall(method))
}

// proofView is what a page shows.
type proofView struct {
	Proof *pb.Proof
	// Said is what there is to say instead of a proof.
	Said string
}

func (p proofWeb) show(w http.ResponseWriter, r *http.Request) {
	got, err := p.GetProof(as(r, pb.ProofService_GetProof_FullMethodName), &pb.GetProofRequest{Code: r.PathValue("code")})
	if err != nil {
		p.fail(w, err)
		return
	}
	p.write(w, http.StatusOK, proofView{Proof: got.GetProof()})
}

func (p proofWeb) answer(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		p.write(w, http.StatusBadRequest, proofView{Said: "This answer is too long, or was cut off. Go back, and write less."})
		return
	}
	code := r.PathValue("code")
	if r.PostForm.Get("act") == "pass" {
		_, err := p.PassProof(as(r, pb.ProofService_PassProof_FullMethodName), &pb.PassProofRequest{Code: code, Etag: r.PostForm.Get("etag")})
		p.done(w, err, "Thank you. It is offered now, as you have read it.")
		return
	}
	var all []*pb.Correction
	for i, lot := range r.PostForm["lot"] {
		if notes := r.PostForm["note"]; i < len(notes) && strings.TrimSpace(notes[i]) != "" {
			all = append(all, &pb.Correction{Lot: lot, Note: notes[i]})
		}
	}
	if len(all) == 0 {
		p.write(w, http.StatusOK, proofView{Said: "You have not written what is to be changed. Go back, and write it beside what it is about."})
		return
	}
	_, err := p.CorrectProof(as(r, pb.ProofService_CorrectProof_FullMethodName), &pb.CorrectProofRequest{Code: code, Corrections: all})
	p.done(w, err, "Thank you. It is written down, and will not be shown before you have read it again.")
}

func (p proofWeb) done(w http.ResponseWriter, err error, said string) {
	if err != nil {
		p.fail(w, err)
		return
	}
	p.write(w, http.StatusOK, proofView{Said: said})
}

// statusOfPage is how a page ends for a code.
var statusOfPage = map[codes.Code]int{
	codes.InvalidArgument: http.StatusNotFound, codes.ResourceExhausted: http.StatusTooManyRequests,
	codes.Aborted: http.StatusConflict, codes.FailedPrecondition: http.StatusConflict,
}

// saidOfPage is what a page says for a code.
var saidOfPage = map[codes.Code]string{
	codes.InvalidArgument:    "This link is not known, was used, or has run out. Ask whoever gave it to you for another.",
	codes.ResourceExhausted:  "Too many links from where you are were wrong. Try again in a few minutes.",
	codes.Aborted:            "It has been changed since you read it. Open the link again, and read it once more.",
	codes.FailedPrecondition: "There is nothing to pass.",
}

func (p proofWeb) fail(w http.ResponseWriter, err error) {
	code := status.Code(tell(err))
	if said := saidOfPage[code]; said != "" {
		p.write(w, statusOfPage[code], proofView{Said: said})
		return
	}
	p.log.Error("web: a proof was not shown", "error", err)
	p.write(w, http.StatusInternalServerError, proofView{Said: "The registry has a fault of its own. Try again later."})
}

func (p proofWeb) write(w http.ResponseWriter, code int, v proofView) {
	deliver.SecretPage(w.Header())
	w.WriteHeader(code)
	if err := proofPage.Execute(w, v); err != nil {
		p.log.Debug("web: a page was cut off", "error", err)
	}
}
