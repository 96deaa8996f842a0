"""Pages of the desk in the browser: somebody signed in, and what no page may have at any width."""

from tests.house.reading import ROOT

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
ASK_AXE = "async () => (await axe.run(document)).violations.map(({ id, nodes }) => [id, nodes[0].html.slice(0, 160)])"
SIZES = ((320, 700), (768, 1024), (1024, 768))  # the last one stays


def at_the_desk(page, client, address):
    """`page` with the session of `client` at the server's `address`, and with what looks for faults in it."""
    page.context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": address}])
    page.add_init_script(path=AXE)
    return page


def faultless(page):
    """Nothing for axe and nothing too wide, on a telephone and on a tablet both ways up."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate(ASK_AXE) == [], width
        assert page.evaluate("document.scrollingElement.scrollWidth - innerWidth") <= 0, width
