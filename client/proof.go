package client

import (
	"context"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Proofed says whose proof is meant: that of a shop, by its ID or name, or that of a
// code.
type Proofed struct {
	// Shop is the shop; empty with a code.
	Shop string
	// Code is the code of a keeper without an account; empty with a shop.
	Code string
}

func (p Proofed) shop() string {
	if p.Shop == "" {
		return ""
	}
	return ShopName(p.Shop)
}

// Proof is what waits to be passed.
func (c *Client) Proof(ctx context.Context, of Proofed) (*pb.Proof, error) {
	got, err := c.Proofs.GetProof(ctx, &pb.GetProofRequest{Shop: of.shop(), Code: of.Code})
	return got.GetProof(), err
}

// PassProof passes a proof as it was read, or those lots of it that are named by tag
// or ID, and offers them unless they are to be held.
func (c *Client) PassProof(ctx context.Context, of Proofed, p *pb.Proof, lots []string, hold bool) ([]*pb.Lot, error) {
	names, err := lotsOfProof(p, lots)
	if err != nil {
		return nil, err
	}
	got, err := c.Proofs.PassProof(ctx, &pb.PassProofRequest{Shop: of.shop(), Code: of.Code, Etag: p.GetEtag(), Lots: names, Hold: hold})
	return got.GetLots(), err
}

// CorrectProof writes down what is to be changed of a lot of a proof, or, without a
// lot, of the shop.
func (c *Client) CorrectProof(ctx context.Context, of Proofed, p *pb.Proof, lot, note string) error {
	correction := &pb.Correction{Note: note}
	if lot != "" {
		names, err := lotsOfProof(p, []string{lot})
		if err != nil {
			return err
		}
		correction.Lot = names[0]
	}
	_, err := c.Proofs.CorrectProof(ctx, &pb.CorrectProofRequest{Shop: of.shop(), Code: of.Code, Corrections: []*pb.Correction{correction}})
	return err
}

// lotsOfProof are the names of lots of a proof that go by what was typed. It returns
// a *NotFoundError.
func lotsOfProof(p *pb.Proof, typed []string) ([]string, error) {
	var names []string
	for _, what := range typed {
		name := ""
		for _, l := range p.GetLots() {
			if strings.EqualFold(l.GetTag(), what) || ID(l.GetName()) == what || l.GetName() == what {
				name = l.GetName()
			}
		}
		if name == "" {
			return nil, &NotFoundError{What: what}
		}
		names = append(names, name)
	}
	return names, nil
}
