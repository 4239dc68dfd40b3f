"""What every store of a shop's own records promises."""

from tests.contract.stand_ins import plain_summary
from triage_app.storage.open import Stores, open_stores


def test_what_is_put_comes_back_and_is_replaced_by_name(stores: Stores) -> None:
    assert stores.shop.all() == {}
    stores.shop.put("card side: square", "60")
    stores.shop.put("lens: a", "1")
    stores.shop.put("card side: square", "59.8")
    assert stores.shop.all() == {"card side: square": "59.8", "lens: a": "1"}


def test_it_stays_beside_the_program_s_own_texts_and_outlives_it(shared_url: str) -> None:
    first = open_stores(shared_url, "memory://", summarise=plain_summary, rulebook_stamp="book")
    first.shop.put("lens: a", "1")
    first.close()
    second = open_stores(shared_url, "memory://", summarise=plain_summary, rulebook_stamp="other")
    assert second.shop.all() == {"lens: a": "1"}
    second.close()
