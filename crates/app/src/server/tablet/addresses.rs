//! The addresses at which a tablet in the shop reaches this computer, found without asking outside.

use std::net::{IpAddr, Ipv4Addr, UdpSocket};

/// An address of the documentation (RFC 5737) that nothing answers at. Nothing is sent there.
const ELSEWHERE: (Ipv4Addr, u16) = (Ipv4Addr::new(198, 51, 100, 1), 9);

/// The addresses of this computer that belong to a private network, the likeliest first.
pub(super) fn found() -> Vec<IpAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    in_order(all.iter().map(if_addrs::Interface::ip), way_out())
}

/// The address this computer would speak from if it spoke to elsewhere: that of its usual network.
/// Connecting a datagram socket asks the system's routes and sends nothing.
fn way_out() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect(ELSEWHERE).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

fn in_order(all: impl Iterator<Item = IpAddr>, way_out: Option<IpAddr>) -> Vec<IpAddr> {
    let mut kept: Vec<IpAddr> = all.filter(is_of_a_shop).collect();
    kept.sort_by_key(|address| (Some(*address) != way_out, address.is_ipv6(), *address));
    kept.dedup();
    kept
}

/// Whether an address belongs to a private network (RFC 1918, RFC 4193), and so cannot be reached
/// from the internet by itself.
fn is_of_a_shop(address: &IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => address.is_private(),
        IpAddr::V6(address) => address.is_unique_local(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_addresses_of_private_networks_are_offered_and_the_usual_network_first() {
        let text = [
            "127.0.0.1",
            "10.0.0.4",
            "192.168.178.20",
            "172.16.0.1",
            "172.32.0.1",
            "169.254.3.3",
            "203.0.113.9",
            "::1",
            "fe80::1",
            "fd00::2",
            "2001:db8::1",
            "10.0.0.4",
        ];
        let all = text.map(|text| text.parse().expect("an address"));
        let way_out = "192.168.178.20".parse().ok();
        let found: Vec<String> = in_order(all.into_iter(), way_out)
            .iter()
            .map(ToString::to_string)
            .collect();
        // The ranges are those of RFC 1918, section 3, and RFC 4193, section 3.1.
        assert_eq!(
            found,
            ["192.168.178.20", "10.0.0.4", "172.16.0.1", "fd00::2"]
        );
    }
}
