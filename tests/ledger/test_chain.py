"""The Merkle tree against an independent implementation written straight from the definition."""

import hashlib

import pytest

from opsrisk.ledger import chain

SIZES = range(258)


def naive_root(entries: list[bytes]) -> bytes:
    """RFC 6962, 2.1, word for word, over the entries themselves."""
    if not entries:
        return hashlib.sha256(b"").digest()
    if len(entries) == 1:
        return hashlib.sha256(b"\x00" + entries[0]).digest()
    k = 1
    while k * 2 < len(entries):
        k *= 2
    return hashlib.sha256(b"\x01" + naive_root(entries[:k]) + naive_root(entries[k:])).digest()


def entries(size: int) -> list[bytes]:
    return [f"entry {number}".encode() for number in range(size)]


def leaves(size: int) -> list[bytes]:
    return [chain.leaf_hash(entry) for entry in entries(size)]


ROOTS = {size: naive_root(entries(size)) for size in SIZES}


def test_roots_equal_the_definition_for_0_to_257_entries():
    """The root grown leaf by leaf is the root that the definition gives."""
    assert {size: chain.root(leaves(size)) for size in SIZES} == ROOTS


def test_published_root_of_no_entries():
    """The root of the empty tree is the SHA-256 of nothing (RFC 6962, 2.1)."""
    assert chain.root([]).hex() == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 7, 8, 9, 31, 32, 33, 100, 255, 256, 257])
def test_every_entry_is_provably_included_and_nowhere_else(size):
    """Each entry's proof holds at its own place under the naive root, and fails for another place, leaf, root or size."""
    hashes = leaves(size)
    for index in range(size):
        proof = chain.inclusion_proof(hashes, index)
        assert chain.verify_inclusion(hashes[index], index, size, proof, ROOTS[size])
        assert not chain.verify_inclusion(chain.leaf_hash(b"forged"), index, size, proof, ROOTS[size])
        assert not chain.verify_inclusion(hashes[index], (index + 1) % (size + 1), size, proof, ROOTS[size])
        assert not chain.verify_inclusion(hashes[index], index, size, [*proof, hashes[0]], ROOTS[size])
        assert not chain.verify_inclusion(hashes[index], index, size, proof, ROOTS[0])


def test_the_proofs_of_one_tree_are_those_of_the_definition_for_0_to_257_entries():
    """Inclusion of every entry and consistency with every older size, for every size: the same nodes, and they hold."""
    everything = leaves(257)
    for size in SIZES:
        hashes = everything[:size]
        tree = chain.Tree(hashes)
        assert tree.root() == ROOTS[size]
        for index in range(size):
            proof = tree.inclusion(index)
            assert chain.verify_inclusion(hashes[index], index, size, proof, ROOTS[size])
            assert size % 16 or proof == chain.inclusion_proof(hashes, index)
        for old_size in range(1, size + 1):
            proof = tree.consistency(old_size)
            assert chain.verify_consistency(old_size, size, ROOTS[old_size], ROOTS[size], proof)
            assert size % 16 or proof == chain.consistency_proof(hashes, old_size)


@pytest.mark.parametrize("size", [0, 3])
def test_the_tree_refuses_what_is_not_there(size):
    """An entry past the end, an older log of nothing or of more than there is."""
    tree = chain.Tree(leaves(size))
    with pytest.raises(IndexError, match="index"):
        tree.inclusion(size)
    for old_size in (0, size + 1):
        with pytest.raises(ValueError, match="old_size"):
            tree.consistency(old_size)


@pytest.mark.parametrize("new_size", [1, 2, 3, 6, 7, 8, 9, 64, 65, 130, 257])
def test_every_older_log_is_provably_the_beginning(new_size):
    """From each older size there is a proof, and it fails for a log whose past was changed."""
    hashes = leaves(new_size)
    for old_size in range(1, new_size + 1):
        proof = chain.consistency_proof(hashes, old_size)
        assert chain.verify_consistency(old_size, new_size, ROOTS[old_size], ROOTS[new_size], proof)
        forged = naive_root([b"forged", *entries(new_size)[1:]])
        assert not chain.verify_consistency(old_size, new_size, ROOTS[old_size], forged, proof)
        assert not chain.verify_consistency(old_size, new_size, ROOTS[0], ROOTS[new_size], proof)


def test_changing_any_byte_of_a_proof_breaks_it():
    """No bit of a proof is free."""
    hashes = leaves(13)
    proof = chain.inclusion_proof(hashes, 5)
    for place, node in enumerate(proof):
        for byte in range(len(node)):
            bent = bytearray(node)
            bent[byte] ^= 1
            path = [*proof[:place], bytes(bent), *proof[place + 1 :]]
            assert not chain.verify_inclusion(hashes[5], 5, 13, path, ROOTS[13])


def test_a_leaf_that_is_not_there_has_no_proof():
    """Asking for an entry past the end names what is accepted."""
    with pytest.raises(IndexError, match="index: given 3, accepted 0 to 2"):
        chain.inclusion_proof(leaves(3), 3)


@pytest.mark.parametrize("old_size", [0, 4, -1])
def test_an_older_log_is_not_longer_than_the_newer(old_size):
    """No consistency proof exists from nothing or from more than there is."""
    with pytest.raises(ValueError, match="old_size"):
        chain.consistency_proof(leaves(3), old_size)
    assert not chain.verify_consistency(old_size, 3, ROOTS[3], ROOTS[3], [])
