"""On to the next level: chosen, handed on as a file, and taken in by the next contest."""

from playwright.sync_api import expect

from tests.browser.soundness import assert_sound_at_every_width
from tests.factories import DivisionFactory, a_contest
from tests.scoring.results.cast import ready, release


def test_who_goes_on_is_chosen_handed_on_and_taken_in_by_the_next_contest(make_page, tmp_path):
    contest = ready()
    release(contest)
    state = a_contest(divisions=(DivisionFactory(),), contestants=(), cards=())
    page = make_page(width=360, height=740)
    page.goto(f"/contests/{contest.pk}/results/next-level/")
    page.get_by_label("List", exact=True).select_option(label="Senior, Overall, teams")
    page.get_by_label("How many go").fill("1")
    page.get_by_label("Alternates").fill("1")
    page.get_by_role("button", name="Go by this list").click()
    team = page.get_by_role("row", name="✓ goes")
    first = team.locator("b").inner_text()
    team.get_by_text("Declines").click()
    team.get_by_label("Why").fill("too far")
    team.get_by_role("button", name="Pass over").click()
    expect(page.get_by_role("row", name=first)).to_contain_text("too far")
    expect(page.get_by_role("row", name="moved up")).to_have_count(1)
    assert_sound_at_every_width(page)
    page.get_by_label("Came from").fill("Perry")
    with page.expect_download() as fetched:
        page.get_by_role("button", name="Fetch their entries").click()
    fetched.value.save_as(tmp_path / "perry.csv")
    (tmp_path / "dunn.csv").write_text("First name,Last name,Team\nAnn,Lee,Ash\n")
    page.goto(f"/contests/{state.pk}/entries/load/")
    page.get_by_label("or choose a file").set_input_files([tmp_path / "perry.csv", tmp_path / "dunn.csv"])
    page.get_by_role("button", name="See what it would do").click()
    page.get_by_role("button", name="Add 3").click()
    expect(page.get_by_role("status").first).to_contain_text("3 added")
    page.get_by_role("link", name="Who came from where").click()
    expect(page.get_by_role("heading", level=2)).to_have_text(["dunn", "Perry"])
    assert_sound_at_every_width(page)
